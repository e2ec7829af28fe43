"""The left cylinder of a roof hatch was exchanged: how many bleed strokes until both rods keep step?"""

from pathlib import Path

import evenstroke as es

here = Path(__file__).parent
rig = es.load_rig(here / "rigs" / "roof_hatch.toml")
procedure = es.load_procedure(here / "procedures" / "shop_bleed.toml")
contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="in")

run = es.run(rig, contents, procedure)   # once, with the values as given
print(run.status)
print(run.strokes)
print(run.story())

answer = es.strokes_to_parallel(rig, contents, procedure, members=32)   # and over the bands of what nobody knows
print(answer.text())
