"""words, sources and check, as their users call them."""

from advisor import cli
from advisor.engine.question_graph import endings_from, question_graph
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set


def test_words_explains_and_names_the_nearest(capsys):
    assert cli.main(["words", "liner"]) == 0
    assert capsys.readouterr().out.startswith("Inner liner: ")
    assert cli.main(["words", "bed"]) == 1
    assert "bead" in capsys.readouterr().out
    assert cli.main(["words"]) == 0
    assert capsys.readouterr().out.count(": ") > 60


def test_sources_lists_every_limit_and_says_what_rests_on_memory(capsys):
    rules = load_rule_set(find_rule_set("us-road"))
    assert cli.main(["sources"]) == 0
    said = capsys.readouterr().out
    for limit in rules.limits:
        assert f"  {limit}: " in said
    assert said.index("FROM MEMORY") < said.index("COMMON PRACTICE") < said.index("PUBLISHED")
    assert cli.main(["sources", "--texts"]) == 0
    said = capsys.readouterr().out
    assert all(source.title[:40] in said for source in rules.sources.values())


def test_the_networkx_graph_holds_the_same_ways_as_the_walk():
    from advisor.engine.evaluator import Judge

    rules = load_rule_set(find_rule_set("us-road"))
    graph, stops = question_graph(rules), Judge(rules).graph.stops
    for name, stop in stops.items():
        ways = {target if target != "end" else f"part:{stop.node.part}" for *_, target in stop.next}
        assert ways == {to for to in graph.successors(name) if not to.startswith("ending:")}
        brought = {stop.node.cant_tell.ending}
        for ruling, _ in stop.rulings:
            brought |= {ruling.ending, ruling.doubt_ending, ruling.in_doubt if ruling.in_doubt in rules.endings else ""}
        brought.discard("")
        assert {f"ending:{ending}" for ending in brought} == {
            to for to in graph.successors(name) if to.startswith("ending:")
        }


def test_every_ending_lies_ahead_of_the_first_question():
    rules = load_rule_set(find_rule_set("us-road"))
    assert endings_from(rules, rules.parts[0].starts) == list(rules.endings)


def test_the_zones_are_those_of_the_trade_s_arithmetic():
    from advisor.domain.geometry.zones import ORDER
    from advisor.engine.derived.injury import ZONES

    assert tuple(ORDER) == ZONES
