"""A recorded step is not so: asked once more in words, before it and all after it are to do again."""

from kiosk.bench import Bench
from kiosk.catalogue import said
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.procedure import StepRef


def done_steps(bench: Bench, mark: str) -> list[Choice[StepRef]]:
    """The steps recorded on a part by their words, the newest first."""
    found: list[Choice[StepRef]] = []
    for procedure_id, done in bench.state.part(mark).passes.items():
        for step_id in done:
            _, step = bench.shop.find_step(procedure_id, step_id, mark)
            ref = StepRef(procedure_id, step_id)
            found.append(Choice(step.do if step else str(ref), ref))
    return found[::-1]


def ask_reopen(kiosk: Kiosk, mark: str, ref: StepRef, reason: str) -> None:
    """Say what is lost by it, and ask once more; nothing is chosen beforehand."""
    bench = kiosk.bench
    done = done_steps(bench, mark)
    at = next((place for place, one in enumerate(done) if one.value == ref), 0)
    words = done[at].label if done else str(ref)
    detail = [words]
    if at:
        detail.append(
            said("The step done since is to do again with it.")
            if at == 1
            else said("The {number} steps done since are to do again with it.", number=at)
        )

    def chosen(again: bool) -> None:
        if again:
            bench.reopen(mark, ref, reason, tap=kiosk.taps.id)
            kiosk.say(said("Saved. {mark} goes back to that step. F6 takes it back.", mark=mark))

    choices = [Choice(said("It is not so: do it again"), True), Choice(said("Leave it as it is"), False)]
    kiosk.ask(ChoiceScreen(said("{mark}: is this step not done?", mark=mark), choices, detail=detail), chosen)
