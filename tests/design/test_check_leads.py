"""Names are borne once, and every lead comes from the supply and ends at a run."""

TRUNK = {"name": "branch", "length": "1 m", "from": "trunk"}
AUX = {"name": "aux", "pack": "liion-4s-6800", "converter": "buck-12v-5a"}


def told(sketch):
    return [sentence.removeprefix("bench.toml: ") for sentence in sketch.told()]


def test_trunks_may_branch_from_trunks(sketch):
    sketch.put("trunks.1", TRUNK).put("runs.1.feeds.0.from", "branch")
    assert sketch.read().trunks[1].parent == "trunk"


def test_a_name_used_twice_is_told(sketch):
    sketch.put("runs.1.name", "front")
    assert told(sketch) == ['runs: found "front" 2 times; give each its own name.']
    sketch.put("runs.1.name", "back").put("trunks.1", {"name": "trunk", "length": "1 m"})
    assert told(sketch) == ['trunks: found "trunk" 2 times; give each its own name.']


def test_names_that_differ_only_in_spaces_are_the_same_name(sketch):
    sketch.put("runs.1.name", "front  rail").put("runs.0.name", " front rail")
    assert told(sketch) == ['runs: found "front rail" 2 times; give each its own name.']


def test_a_supply_that_is_not_there_is_told_once(sketch):
    sketch.put("supplies.1", AUX).put("runs.0.supply", "main").put("runs.1.supply", "auxx")
    assert told(sketch) == [
        'runs.back.supply: found "auxx", which is no supply; did you mean "aux"?'
    ]


def test_a_trunk_that_is_not_there_is_told_once(sketch):
    sketch.put("runs.0.feeds.0.from", "trnk")
    assert told(sketch) == [
        'runs.front.feeds.1.from: found "trnk", which is no trunk; did you mean "trunk"? '
        "Leave it out for a lead that starts at the supply."
    ]
    del sketch.table["trunks"]
    assert told(sketch) == [
        'runs.front.feeds.1.from: found "trnk", which is no trunk; there are no [[trunks]]. '
        "Leave it out for a lead that starts at the supply."
    ]


def test_trunks_that_go_round_are_told_and_those_that_hang_on_them_are_not(sketch):
    sketch.put("trunks.0.from", "branch").put("trunks.1", TRUNK)
    sketch.put("trunks.2", {"name": "twig", "length": "1 m", "from": "branch"})
    sketch.put("runs.0.feeds.0.from", "twig")
    ending = "a trunk starts at the supply or at a trunk nearer to it."
    assert told(sketch) == [
        'trunks.trunk.from: comes round to itself ("trunk" from "branch" from "trunk"); ' + ending,
        'trunks.branch.from: comes round to itself ("branch" from "trunk" from "branch"); '
        + ending,
    ]


def test_a_trunk_from_itself_is_told(sketch):
    sketch.put("trunks.0.from", "trunk")
    assert told(sketch)[0].startswith("trunks.trunk.from: comes round to itself")


def test_a_trunk_that_leads_nowhere_is_told(sketch):
    sketch.put("trunks.1", TRUNK)
    assert told(sketch) == [
        'trunks.branch: leads to no run; write from = "branch" in a feed, or take it out.'
    ]


def test_a_trunk_never_joins_two_supplies(sketch):
    sketch.put("supplies.1", AUX).put("runs.0.supply", "main").put("runs.1.supply", "aux")
    sketch.put("runs.1.feeds.0.from", "trunk")
    assert told(sketch) == [
        'trunks.trunk: leads to runs of "main" and "aux"; a trunk carries one supply, or its '
        "packs would be joined. Give each supply a trunk of its own."
    ]
