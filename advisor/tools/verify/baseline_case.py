"""A quiet case, in which nothing speaks against a repair: what every example is made from."""

from __future__ import annotations

from fractions import Fraction

from advisor.engine.facts import Facts
from advisor.engine.traversal import Graph
from advisor.model import inputs
from advisor.model.case import Answer, Choice, Choices, Readings
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Question, RuleSet
from advisor.tools.verify.boundary_values import SET_TO, answers_for
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.partitions import State, case_with

BaselineAnswers = dict[tuple[str, int, str], Answer]

#: Answers of a sound tire with a small hole, tried first; a rule set with other questions gets the first that is quiet.
SOUND: dict[str, Answer] = {
    inputs.VEHICLE: Choice("car"),
    inputs.WHEEL_POSITION: Choice("drive"),
    inputs.TIRE_CLASS: Choice("passenger"),
    inputs.LOAD_RANGE: Choice("SL"),
    inputs.CONSTRUCTION: Choice("radial"),
    inputs.TUBE: Choice("tubeless"),
    inputs.RETREAD: Choice("no"),
    inputs.FOUND_PRESSURE: exactly(SET_TO, "psi"),
    inputs.SET_PRESSURE: exactly(SET_TO, "psi"),
    inputs.RUN_LOW: Choice("no"),
    inputs.DEMOUNTED: Choice("yes"),
    inputs.SEALANT: Choice("no"),
    inputs.TREAD_DEPTH: Readings((exactly(8, "mm"),)),
    inputs.SELF_SUPPORTING: Choice("no"),
    inputs.EARLIER_REPAIRS: Choice("no"),
    inputs.INJURY_DEPTH: Choice("through"),
    inputs.INJURY_ZONE: Choice("crown"),
    inputs.INJURY_SIZE: exactly(3, "mm"),
    inputs.INJURY_ANGLE: exactly(0, "deg"),
    inputs.MORE_INJURIES: Choice("no"),
    inputs.MORE_REPAIRS: Choice("no"),
    inputs.REPAIR_SOUND: Choice("yes"),
    inputs.REPAIR_CLOCK: exactly(180, "deg"),
    inputs.REPAIR_OFFSET: exactly(0, "mm"),
    inputs.REPAIR_UNIT_LENGTH: exactly(60, "mm"),
    inputs.REPAIR_UNIT_WIDTH: exactly(60, "mm"),
}


def quiet_answers(rules: RuleSet, graph: Graph, space: Space, start: BaselineAnswers | None = None) -> BaselineAnswers:
    """An answer to every question that has to be asked: of a sound tire where it is known, else the mildest.

    `start` holds answers of another rule set to begin with.
    """
    answers: BaselineAnswers = {where: answer for where, answer in (start or {}).items() if where[2] in rules.questions}
    if answers:
        return filled(answers, rules, graph, space)
    for name, answer in SOUND.items():
        question = rules.questions.get(name)
        if question is not None and _fits(question, answer) and question.over != inputs.OVER_REPAIRS:
            answers[(question.over, -1 if question.over == "tire" else 0, name)] = answer
    return filled(answers, rules, graph, space)


def filled(
    answers: BaselineAnswers,
    rules: RuleSet,
    graph: Graph,
    space: Space,
    left: frozenset[tuple[str, int, str]] = frozenset(),
) -> BaselineAnswers:
    """The answers with every further question that they raise answered quietly, those `left` out stay so."""
    answers = dict(answers)
    while True:
        missing = [(rules.questions[name].over, index, name) for name, index in graph.walk(case_with(answers)).missing]
        missing = [where for where in missing if where not in answers and where not in left]
        if not missing:
            return answers
        for where in missing:
            answers[where] = _like_the_first(where, answers, rules) or mildest(rules.questions[where[2]], space)


def _like_the_first(where: tuple[str, int, str], answers: BaselineAnswers, rules: RuleSet) -> Answer | None:
    """What the first injury or repair says there; never that one more follows, which would have no end."""
    over, _, name = where
    return None if name == rules.more_of(over) else answers.get((over, 0, name))


def mildest(question: Question, space: Space) -> Answer:
    """The answer that speaks least against a repair, as far as the question itself says which that is."""
    found = space.mild.get(question.id)
    if found is None:
        found = space.mild[question.id] = _mildest(question, space)
    return found


def _mildest(question: Question, space: Space) -> Answer:
    sound = SOUND.get(question.id)
    if sound is not None and _fits(question, sound):
        return sound
    if question.id == space.rules.more_of(question.over):
        return Choice("no")  # one more would ask the same again
    if question.worse_order:
        return Choice(question.worse_order[0])
    limits = [limit for name in space.resting_on(question.id) for limit in space.limits_of(name)]
    known = answers_for(question, space.rules, limits)
    exact = [answer for answer in known if isinstance(answer, Measure | Readings) and _is_exact(answer)]
    if question.worse == "below" and exact:
        return exact[-1]
    return known[0]


def _is_exact(answer: Measure | Readings) -> bool:
    return answer.exact if isinstance(answer, Measure) else all(each.exact for each in answer.readings)


def state_in(space: Space, number: int, answers: BaselineAnswers, facts: Facts) -> State:
    """What a group's conditions see in a case with these answers."""
    names = [name for name in space.groups[number] if name in space.tables.overs]
    overs = space.tables.overs
    asked = {question for name in names for question in space.inputs(name)}
    places = ((space.rules.questions[question].over, question) for question in sorted(asked))
    wheres = [(over, -1 if over == "tire" else 0, question) for over, question in places]
    own = {where: answers[where] for where in wheres if where in answers}
    looks = {name: facts.part(overs[name], 0).look(name) for name in names}
    return State(looks, own, {}, silent=frozenset(asked - {where[2] for where in own}))


def _fits(question: Question, answer: Answer) -> bool:
    if isinstance(answer, Choice):
        return question.choice(answer.id) is not None
    if isinstance(answer, Choices):
        return question.kind == "choices"
    if isinstance(answer, Readings):
        return question.kind == "readings"
    return question.kind in ("measure", inputs.CLOCK_KIND) and not isinstance(answer, Fraction)
