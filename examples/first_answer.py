"""How many bleed strokes until the rods of the roof hatch run parallel? Run from the checkout's root."""

import evenstroke as es

rig = es.load_rig("examples/rigs/roof_hatch.toml")
procedure = es.load_procedure("examples/procedures/shop_bleed.toml")
contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods="out")

run = es.run(rig, contents, procedure)
print(run.story())

answer = es.strokes_to_parallel(rig, contents, procedure, members=32, seed=1)
print(f"parallel: {answer.parallel.text}")
