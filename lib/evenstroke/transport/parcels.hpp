#pragma once
#include "evenstroke/transport/queue.hpp"

namespace evenstroke {

// What queue.cpp and slugs.cpp do with parcels; masses change hands, none is lost.
void insert(Queue&, int at, const Parcel&);
void erase(Queue&, int at);
void absorb(Parcel& into, const Parcel&);
Parcel split(Parcel&, double share);                        ///< cuts off a share of it
bool alike(const Parcel&, const Parcel&);                   ///< oil with the same air in it, but for round-off
bool bridges(const Parcel& oil, const LineState&);          ///< oil too short to keep two slugs apart
double whole_m3(const Queue&, const LineState&);

}  // namespace evenstroke
