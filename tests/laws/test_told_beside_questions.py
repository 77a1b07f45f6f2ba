"""What is told beside a question, in it or beside a word that is asked back is never used up with it.

It is shown back, asked back, or stands first on the card of a repair.
"""

from __future__ import annotations

import pytest

from advisor.dialogue.not_counted import ASKED_OF, NOT_COUNTED, said_first
from advisor.model.ruleset import Verdict
from tests.laws.ledger import judge_of
from tests.laws.test_bad_news_stays import TOGETHER, ended, said_on_the_card_of_a_repair

pytestmark = pytest.mark.free_order

PLAIN = "Work through the steps"
BESIDE_A_WORD = (
    "back, i saw cords",
    "at the back theres wire",
    "pulled the liner back, saw cords",
    "hang on, back up, second hole",
    "peeled it back and saw wire",
    "came back flat",
    "it came back",
    "deep, saw wire",
    "back again, theres rust",
    "folded it back, liner is torn",
    "had it back up on the rim, saw a bubble",
    "deep one, and it is leaking",
    "its deep with a belt poking out",
    "back in the yard, gribbled",
    "sent back, it was hot",
    "up at the back, another hole",
)
TAKEN_TO_BE_SO = (
    "can i still do it with the bead torn",
    "how come theres rust in it?",
    "what do i do about the bulge?",
    "does this bulge matter?",
    "is this crack bad?",
    "what about the other hole?",
    "why does the inside have black dust?",
    "why would the inside be all wrinkled up?",
    "is it ok if the liner has a crease all the way round from being run low?",
    "what if the steel is sticking out, can i just snip it?",
    "do i need to worry about the wire sticking out of the bead?",
    "what do i do with the broken cords i found?",
    "how do i fill the second hole?",
    "why is it bulging there?",
    "do i cut the exposed cord off?",
    "can i buff the rust out?",
    "what do i put on the torn bead?",
    "why is the liner split?",
    "will the separation get worse?",
    "is this bulge a problem?",
    "what if its run flat, because it was?",
    "is 11 mm ok?",
)
STATED_BESIDE = (
    "theres a bulge, is that a problem?",
    "there's a split in the liner, how do i fix that?",
    "the hole is 14 mm, is that too big?",
    "hole is in the shoulder, can i still patch it?",
    "can i go ahead, liner is split though?",
    "got rust on the cords, what do i do with that?",
    "angle is 45, what unit do i use?",
    "theres an old plug in it, do i pull it?",
    "tread is 1/32, is that ok?",
    "may i plug it, there is a bulge",
    "what unit do i take, its 14 mm wide",
    "cords are showing. do i cut them?",
    "how long do i buff it, the liner is split?",
    "it was driven flat - does that matter?",
    "bead is torn, can it stay?",
    "is that law, as it has a bulge?",
    "liner is creased all round, is that from the rim?",
)
OF_THIS_TIRE = (
    "how wide may it get, mine's 12 mm",
    "what is a lean, this one's is 50 degrees",
    "how firm is that? i only looked with one eye",
    "who says so? i can see canvas",
    "why? it was never taken off",
    "what if it were wider, it is",
    "what if somebody drove it empty, which she did",
    "suppose the wall was patched, as it was",
    "may i go on with the gash in the wall",
    "what about slime, there's a bottle of it in",
    "would it matter that nobody looked inside?",
    "should i have cleaned it first",
    "can i leave the old string in",
    "how come my probe goes in at a slant",
    "what do i enter for a split liner",
    "why does my lamp find wire in there",
    "is it the law, even with a bubble like this",
    "is one patch enough when the belts show",
    "who says a swelling matters",
    "how do i fill it with a 14 mm hole",
    "is it legal that a hole of 14 mm like this stays open",
    "what if i only felt one side",
    "how do i say that it sits out by the edge",
    "who repairs a bead that's torn",
    "does it hurt that the cap is lifting",
    "does the unit suit this 50 degree one",
    "how can a casing this cracked go back on",
    "should i be worried about the crack in there",
    "what do i tell the lad who drove it flat",
    "may i use a wider unit, a 12 mm drill slides in",
    "why repair when the nail sits in the shoulder",
    "is the shoulder alright, that's where it went in",
    "can i put a patch over the one that's already in there",
    "why does my thumb sink into the wall",
    "why is the inner layer flapping",
    "why did the mushroom somebody put in work loose?",
    "why can i hear it hiss",
    "why can't i follow the hole with the awl?",
    "why won't the second bead go up",
    "how come it's wider now?",
    "how come the earlier fix popped out",
    "what happened to the inside of this wall?",
    "what's the ridge on the inside?",
    "what's that grey rubber thing?",
    "what is the yellow stuff in the hole?",
    "what do i do now it has opened up?",
    "which of the two plugs counts?",
    "does it still count as round if it runs on under the tread?",
    "how do i stick the layers back?",
    "any idea why it drops overnight?",
    "does a unit that lifted count?",
    "does it make odds that it blew off the rim?",
    "does it matter he drove on the flat?",
    "is it a worry that the wall went purple?",
)
TAKES_ITS_CLAUSE_TO_BE_SO = (
    "why does the rubber feel spongy?",
    "why did the plug fall out",
    "why is it ten now?",
    "why is it stamped reject?",
    "why can I fit a bolt through?",
    "why can't I look at the far side?",
    "why won't the rim edge hold?",
    "how come the cement never took?",
    "what's the bump inside?",
    "what's this slit beside it?",
    "what's poking out",
    "what is the white powder in the hole?",
    "what happened to the rim edge?",
    "which of the two nails counts?",
    "what do I do now that it's eight?",
    "how do I measure it when it bends inside?",
    "does it count as the middle if it's near the edge?",
    "how come it's fine on a fifteen year old tire?",
    "what do I press if I could not look at the whole of it?",
    "how do I stick the layers back?",
    "show me how to trim the frayed cords",
    "ok, and why is it wet inside?",
    "do you know why the tread came loose?",
    "how do I tell the customer about the swelling?",
    "which patch for a frayed liner?",
    "can i mend a slit in the wall",
    "what if the depth gauge was the wrong one",
)
OF_THE_RULES = (
    "why can't it be repaired?",
    "why do I have to take it off the rim?",
    "why is it scrap?",
    "why 6 mm?",
    "why does the angle matter?",
    "why do you ask how old it is?",
    "what's a one-piece unit?",
    "how do I measure the angle?",
    "how come you want the tread depth?",
    "why does the liner have to be clean?",
    "what's next?",
    "why do they put dates on tires in weeks?",
)
NO_NEWS = (
    *OF_THE_RULES,
    "what is a bulge?",
    "how hot does the cement get?",
    "can i do it without a jack?",
    "how do i put the patch in the right way round?",
    "what do i tell the driver?",
    "how long does the cement dry?",
    "why is the tread measured in the worst place?",
    "may i use a tube instead?",
    "what does the report say?",
    "may i plug the hole?",
    "how deep must the tread be?",
    "what if the hole is 14 mm?",
    "what if there is a bulge?",
    "can a bulge be repaired?",
    "what's the difference between a bulge and a bubble?",
    "can't tell, how do i measure it?",
    "can i repair a tire with a cut in the sidewall?",
    "is a hole in the shoulder repairable?",
    "how do i tell if the liner is split?",
    "what is a bulge, a bubble or a knot?",
    "what if the angle were 45 degrees?",
    "how far from the shoulder must the hole be?",
    "thanks, what now?",
    "why can't i plug it from outside?",
    "why is it scrap?",
    "why do i have to demount it?",
    "why does the angle matter?",
    "why not on the steer axle?",
    "why wait until it is dry?",
    "how come you ask for the angle?",
    "what's the limit in the crown?",
    "what do i do next?",
    "why two pieces?",
)


@pytest.mark.parametrize("said", BESIDE_A_WORD)
@pytest.mark.parametrize("place", [2, 6])
def test_the_rest_beside_a_word_that_is_asked_back_is_kept(said: str, place: int) -> None:
    consultation, told = ended(*TOGETHER[:place], said)
    first = said_on_the_card_of_a_repair(*TOGETHER[:place], said, "yes", *TOGETHER[place:])
    assert consultation.pending is not None or not first.startswith(PLAIN), (first, told)


@pytest.mark.parametrize("said", ["its at the back", "it's deep", "on the back", "back"])
def test_of_a_word_that_is_asked_back_nothing_else_is_kept(said: str) -> None:
    assert "typed and not understood" not in " ".join(ended(*TOGETHER, said)[0].notes)


@pytest.mark.parametrize("said", TAKEN_TO_BE_SO)
def test_what_a_question_takes_to_be_so_is_asked_back_and_stands_first(said: str) -> None:
    consultation, told = ended(*TOGETHER, said)
    assert "Is it so on this tire?" in told and consultation.case == ended(*TOGETHER)[0].case
    assert str(consultation.card().short.do_now[0]).startswith("You asked about this")
    assert "You asked about this" in said_on_the_card_of_a_repair(*TOGETHER[:2], said, *TOGETHER[2:]) or "11 mm" in said


@pytest.mark.parametrize("said", STATED_BESIDE)
def test_what_is_stated_beside_a_question_is_shown_back_and_never_counts_by_itself(said: str) -> None:
    consultation, told = ended(*TOGETHER, said)
    assert consultation.pending is not None and consultation.case == ended(*TOGETHER)[0].case, told
    after, told = ended(*TOGETHER, said, "yes")
    assert after.case != ended(*TOGETHER)[0].case, told


@pytest.mark.parametrize("said", OF_THIS_TIRE)
def test_what_a_question_tells_of_this_tire_stands_first_until_it_is_said(said: str) -> None:
    consultation, told = ended(*TOGETHER, said)
    card = consultation.card()
    assert consultation.case == ended(*TOGETHER)[0].case
    assert card.verdict is not Verdict.REPAIR or not str(card.short.do_now[0]).startswith(PLAIN), told


@pytest.mark.parametrize("said", TAKES_ITS_CLAUSE_TO_BE_SO)
@pytest.mark.parametrize("place", [2, 8])
def test_a_question_that_takes_its_own_clause_to_be_so_is_kept_and_says_that_it_does_not_count(
    said: str, place: int
) -> None:
    consultation, told = ended(*TOGETHER[:place], said)
    assert "A question counts for nothing" in told or consultation.pending is not None, told
    assert consultation.case == ended(*TOGETHER[:place])[0].case
    assert any(note.startswith(ASKED_OF) for note in consultation.notes), told


@pytest.mark.parametrize("said", ["I made that up", "rather him than me"])
def test_a_word_against_the_whole_of_it_stands_first(said: str) -> None:
    assert f'"{said}"' in str(ended(*TOGETHER, said)[0].card().short.do_now[0])


@pytest.mark.parametrize(
    ("asked", "then"),
    [
        ("what does run-low damage look like?", "yes, that's how mine looks"),
        ("what if it has two holes?", "so it does"),
    ],
)
def test_what_was_asked_about_and_is_said_to_be_here_stands_first(asked: str, then: str) -> None:
    consultation, told = ended(*TOGETHER, asked, then)
    assert asked.rstrip("?") in str(consultation.card().short.do_now[0]) and "say it as a sentence" in told


@pytest.mark.parametrize(
    ("asked", "then"),
    [("what if it had a bulge", "it does"), ("what if he drove it flat", "he did"), ("what if it's 9 mm", "yes")],
)
def test_what_was_supposed_and_is_then_said_to_be_so_stands_first(asked: str, then: str) -> None:
    consultation, told = ended(*TOGETHER, asked, then)
    assert asked in str(consultation.card().short.do_now[0]) and "say it as a sentence" in told


def test_of_many_lines_the_card_quotes_what_is_bad_and_of_a_long_one_where_it_is() -> None:
    talk = ("my mate sees odd cord", "nine 5s on the plate", "pays 80 by card", "job 55128", "his 3rd van", "9 of them")
    notes = [f"{NOT_COUNTED}{line}" for line in talk]
    assert '6 lines, among them: "my mate sees odd cord"' in said_first(notes, judge_of("us-road").rules.phrases, True)
    long = "number 7KLM204, a tale of him and his brother who came by last week, and so the plies have parted"
    assert "the plies have parted" in said_on_the_card_of_a_repair(*TOGETHER, long)


@pytest.mark.parametrize(
    "line",
    ["right through twice, 6 mm, crown", "right through, 6 mm each, crown", "right through, crown, holes are 6 mm"],
)
def test_more_than_one_hole_in_the_line_of_one_stands_on_the_card(line: str) -> None:
    notes = ended(*TOGETHER[:3], line)[0].notes
    assert any("twice" in note or "each" in note or "holes" in note for note in notes), notes


@pytest.mark.parametrize("words", ["found rust", "heard popping", "not happy with it"])
def test_what_a_technician_found_is_no_name(words: str) -> None:
    consultation, _ = ended(*TOGETHER, f"technician {words}")
    assert words in str(consultation.card().short.do_now[0])


@pytest.mark.parametrize("said", NO_NEWS)
def test_what_is_asked_in_general_is_kept_nowhere(said: str) -> None:
    consultation, told = ended(*TOGETHER, said)
    assert consultation.pending is None and consultation.notes == (), told


@pytest.mark.parametrize(
    ("asked", "since"),
    [("does this bulge matter?", "no bulge"), ("is the bead torn ok?", "bead is not torn"), ("is 11 mm ok?", "6 mm")],
)
def test_what_was_asked_about_leaves_the_card_once_it_is_said(asked: str, since: str) -> None:
    place = 3 if "mm" in asked else 6
    lines = (*TOGETHER[:place], asked, *(() if place == 3 else (since, "no")), *TOGETHER[place:])
    assert "You asked about this" not in said_on_the_card_of_a_repair(*lines)
    assert "asked of, and said since" in " ".join(ended(*lines)[0].notes)
