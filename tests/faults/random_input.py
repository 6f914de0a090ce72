"""Random bursts of keys, scans, pastes, taps and new sizes over all screens and dialogs. By hand:

    .venv/bin/python -m tests.faults.random_input 2500           # bursts; 3 minutes on an idle core
    .venv/bin/python -m tests.faults.random_input 2500 7         # from another seed

After each burst: no exception, a screen with something to press, from which Escape and F1 lead to the place;
and nothing in the record that was not asked for. What is asked for:

- a scan, a paste, a new size and time passing ask for nothing: they record nothing at all;
- of presses read together one may act, the first; arrows may follow one another, and record nothing;
- what is then recorded is what the words on its target say: :data:`RECORDS` lists it for each;
- characters that a person types record the figure or the words that they are typed for, half typed.
"""

import asyncio
import gc
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from pathlib import Path

from textual import events
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import RunStarted, SittingCut, WordsTyped
from kiosk.screens.action import Action
from kiosk.screens.app import KioskApp
from kiosk.screens.base import KioskScreen
from kiosk.screens.calm import CalmScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.least_size import TOO_SMALL, is_too_small
from kiosk.screens.place import PlaceScreen
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, pass_time, running, screen_text, send, settled, targets_and_keys
from tests.screens.moment import NOW, fixed_zone, make_played_shop
from tests.screens.scenes import SCENES

# What begins with these words on its target (or the title of its dialog) may record these, and nothing else.
BEGUN = {"work_started", "work_resumed", "work_paused", "procedure_kept", "slot_begun"}
RECORDS: dict[str, set[str]] = {
    # the place, Minutes, a part
    "CARRY ON": BEGUN,
    "BEGIN": BEGUN,
    "READY IN": BEGUN,
    "BACK TO IT": BEGUN,
    "all the same": BEGUN,  # carried on, begun, paused or closed up by who was told
    "It may not be left half way": {"work_dropped", "turned_to", *BEGUN},
    "Is that agreed": BEGUN,
    "Is it set up": {"family_set_up"},
    "FIND": {"slot_begun"},
    " min": {"slot_begun"},
    "How many minutes are there?": {"slot_begun"},
    "GO TO THE STEP": {"work_resumed", "work_paused", "turned_to"},
    "Look round: who is in the room?": {"room_cleared"},
    "IT IS COMPLETE": {"part_completed"},
    # the step in hand
    "I HAVE READ THESE": {"caution_acknowledged"},
    "Put back": {"work_dropped"},
    "Was nothing done": {"work_dropped"},
    "Pause": {"work_paused"},
    "ONE MORE": {"counted"},
    "ENOUGH AT": {"counted"},
    "Count on": {"counted"},
    "One less": {"counted"},
    "ANOTHER": {"trial_bent"},
    "Are all": {"counted", "step_finished", "procedure_kept", *BEGUN},  # where nothing else is asked of them
    "on each of": {"answered", "step_finished", "procedure_kept", *BEGUN},
    "YES": {"answered"},
    "NO": {"answered"},
    "RECORD": {"answered"},
    "DONE": {"step_finished", "procedure_kept", "trial_bent", "turned_to", *BEGUN},
    "End the trial": {"step_finished", "procedure_kept", "trial_bent"},
    "Split": {"batch_split", "work_dropped"},
    "along": {"batch_joined"},
    "Another": {"trial_bent"},
    # people, closing up
    "IS HERE": {"person_came"},
    "Goes": {"person_went", "work_paused"},  # what ran in their hands stands still
    "Takes over": {"screen_taken", "person_came"},
    "TAKES OVER": {"screen_taken", "person_came"},
    "begins theirs": {"screen_taken", "person_came", *BEGUN},
    "GO BACK AND FINISH": BEGUN,
    "CLOSE UP": {"sitting_closed", "note_written"},
    "Close up all the same": {"sitting_closed", "note_written"},
    # dialogs, by their titles
    "What is not right": {"snag_raised", "turned_to", "work_paused"},  # the next of the batch is turned to
    "first, or not today": {"wished", "wish_taken_back"},  # what comes, a part, every part of a kind
    "Why is it": {"corrected", "snag_raised", "trial_retracted"},
    "Undo": {"undone", "work_paused"},
    "Which piece next": {"turned_to", "work_dropped", "work_paused"},
    "Why is it skipped": {"step_skipped", "procedure_kept"},
    "is this step not done": {"step_reopened", "procedure_kept", "trial_retracted", "work_dropped"},
    "What else?": {"work_dropped", "counted", *BEGUN},  # behind More…
    "what else?": {"batch_split"},  # of a part
    "Which is so?": {"work_dropped"},
    "new PIN once more": {"pin_set", "pin_tried"},
    "what becomes of it": {"pin_set"},
    "A note on this part": {"note_written"},
    "How much": {"stock_counted"},
    "stood?": {"stock_counted"},
    "Humidity in the room": {"conditions_noted"},
    "Your name stands under it": {"snag_decided", "trial_retracted"},
    "Rework from which": {"snag_decided", "trial_retracted"},
    "NR-06: Crack": {"snag_decided"},  # the whole decision, once more
    "look over what was done": {"looked_over", "step_reopened", "trial_retracted"},
    "is it not good": {"looked_over", "step_reopened", "trial_retracted"},
    "looks at": {"hold_looked", "procedure_kept"},
    "The step was under way": {"looked", "work_paused"},
    "which step comes next": {"place_answered"},
    "ran out on": {"clock_answered"},
    "Look at": {"clock_answered"},
    "Is the clock right": {"clock_marked"},
    "'s PIN": {"screen_taken", "person_came", "pin_tried"},
    "must not be left so": {"person_went"},
    "Record a trial strip": {"trial_bent"},
    "a figure": {"answered"},
    "a lot": {"answered"},
}  # fmt: skip
# Titles of dialogs and words on the big target that lead on and record nothing of themselves, with their
# places unfilled. Any other has a row above: tests/faults/test_random_input.py holds it.
LEADS_ON = {
    "ALL THE SAME…",
    "BACK",
    "BACK TO THE BOARD",
    "BACK TO THE FIRST",
    "BACK TO THE PLACE",
    "CHOOSE ONE ABOVE",
    "CHOOSE THE MARK",
    "COUNT {thing}",
    "DECIDE THE SNAG",
    "Do the plans allow this rework? Look into them.",
    "Half decided before. Does it stand?",
    "How many minutes did it take? On record: {time_taken}",
    "I HAVE LOOKED",
    "LOOK AT THE SNAG",
    "LOOK IT OVER",
    "LOOK ROUND…",
    "Leave the wall screen?",
    "NEXT PAGE",
    "On which day was it done? On record: {day}",
    "OPEN THE PART",
    "READ ON",
    "READ THE ROOM",
    "SAY HOW IT IS",
    "SAY HOW IT STANDS",
    "SAY WHAT WAS DONE",
    "SAY WHERE TO GO ON",
    "SAY WHO YOU ARE",
    "SECOND LOOK",
    "SEE THE PLOT",
    "SET UP FIRST…",
    "SHOW ALL PARTS",
    "TAKE IT",  # by the title of its dialog
    "THE CLOCK",
    "TIME RAN OUT",
    "TO THE PLACE",
    "TYPE FIRST",
    "TYPE THE FIGURE",
    "Temperature in the room: F, or C with a C",
    "The number of {name}'s licence or appointment?",
    "WORK IT OUT",
    "WORKING IT OUT…",
    "What did the designer or an inspector answer?",
    "What is loose or clamped, and what comes next?",
    "What is not so? It and all after it are to do again.",
    "What is {name}?",
    "Which check?",
    "Which go through this step together?",
    "Which kind of part?",
    "Which one? It and all after it are to do again.",
    "Which part is not right?",
    "Which part?",
    "Which parts are shown?",
    "Who accepts it? Their name stands under it.",
    "Who answered?",
    "{ask} On record: {figure_text}",
    "{ask} On record: {of} {unit}",
    "{mark}: which step was recorded wrong?",
    "{mark}: which strip was recorded wrong?",
    "{name}'s new PIN",
    "{typed}: which part?",
}
HALF_TYPED = {"draft_typed", "words_typed"}
OPENING = {"run_started", "sitting_opened"}  # the first act of a run and of a sitting opens it
WITH_ANY = OPENING | {"screen_taken"}
NAMED = ("enter", "escape", "tab", "backspace", "up", "down", "left", "right", "pagedown", "pageup", "home",
         "space", "ctrl+c", "ctrl+q", "ctrl+z", "ctrl+b", "shift+tab", "delete")  # fmt: skip
KEYS = (*NAMED, *(f"f{number}" for number in range(1, 13)))
TYPED = '0123456789/.-#NRMDent [é"'
EPISODE = 60  # bursts on one copy of the shop
PIN = "2468"  # of the builder's hands, on every fifth copy; now and then it is typed


@dataclass
class Seen:
    """What was pressed in one burst, as the screens took it."""

    acted: list[str] = field(default_factory=list)  # what says what was pressed; arrows are not among them


class Fuzz:
    """One app under random input."""

    def __init__(self, app: KioskApp, pilot: Pilot[None], random_numbers: random.Random) -> None:
        self.app = app
        self.pilot = pilot
        self.random = random_numbers
        self.seen = Seen()
        self.quiet_minutes = 0.0  # since the last burst that pressed something
        self.counts: Counter[str] = Counter()
        self.last: list[str] = []  # the newest bursts in words, for the message

    def watch(self) -> None:
        """See what is pressed: what the taps let through is what acts."""
        taps = self.app.taps
        accept = taps.accept

        def accepts(name: str, *, repeats: bool = False) -> bool:
            taken = accept(name, repeats=repeats)
            if taken and not repeats:
                self.seen.acted.append(self._pressed(name))
            return taken

        taps.accept = accepts  # type: ignore[method-assign]

    def _pressed(self, name: str) -> str:
        screen = self.app.screen
        actions = getattr(screen, "_actions", ())
        label = next((one.label for one in actions if isinstance(one, Action) and one.name == name), name)
        if isinstance(screen, Dialog):
            kind = type(screen).__name__
            asks = (
                "a figure"
                if kind == "KeypadScreen"
                else ("a lot" if screen.kept_as.startswith("lot/") else "")
            )
            return f"{asks} {screen.title_text}"
        return label

    # What is sent

    async def burst(self) -> None:
        """Send one burst, and hold the screen and the record to what it may do."""
        kinds: tuple[tuple[Callable[[], Awaitable[str]], int], ...] = (
            (self._scan, 8),
            (self._paste, 4),
            (self._key, 36),
            (self._keys, 12),
            (self._tap, 36),
            (self._tap_and_key, 6),
            (self._type, 10),
            (self._walk_on, 12),
            (self._size, 4),
            (self._wait, 4),
            (self._scan_and_tap, 4),
        )
        send_one = self.random.choices([one for one, _ in kinds], [weight for _, weight in kinds])[0]
        before = self.app.bench.state.seq
        self.seen = Seen()
        stood = self._where()
        pass_time(self.app, self.random.choice((0.07, 0.2, 0.45, 1.0, 1.0)))
        words = await send_one()
        name = send_one.__name__.strip("_")
        self.counts[name] += 1
        self.counts[f"on {stood}"] += 1
        self.last = [*self.last[-14:], f"{stood}: {name} {words}"]
        if stood == CalmScreen.__name__ and name in ("key", "tap"):
            assert not self.seen.acted, f"what woke the screen did {self.seen.acted}"
        self._hold(name, before)

    def _where(self) -> str:
        screen = self.app.screen
        return screen.NAME if isinstance(screen, KioskScreen) else type(screen).__name__

    def _text(self) -> str:
        shop = self.app.bench.shop
        labels = [*shop.parts, *shop.lots]
        others = [
            "1/64",
            "10",
            "0",
            "5",
            "A1",
            PIN,
            "no such",
            "xx",
            "\x02NR-05",
            "]C1NR-04",
            "éàüéàüéàü",
        ]  # one letter again and again is a key held down
        found = self.random.choice(labels if self.random.random() < 0.6 else others)
        return found.lower() if self.random.random() < 0.3 else found

    async def _scan(self) -> str:
        text = self._text()
        end = self.random.choice(
            ["enter", "enter", "enter", "tab", "ctrl+j", ""] if len(text) > 3 else ["enter"]
        )
        apart_s = self.random.uniform(0.0, 0.03)
        send(self.app, *text, *([end] if end else []), apart_s=apart_s)
        await settled(self.app, self.pilot)
        return f"{text!r} {end} {apart_s * 1000:.0f} ms"

    async def _paste(self) -> str:
        text = self.random.choice([self._text(), f"{self._text()}\r\n{self._text()}\n", "", "\n", "x" * 9000])
        self.app.post_message(events.Paste(text))
        await settled(self.app, self.pilot)
        return repr(text[:40])

    async def _key(self) -> str:
        key = self.random.choice(KEYS)
        if self.random.random() < 0.45:
            key = "enter"
        send(self.app, key)
        await settled(self.app, self.pilot)
        return key

    async def _keys(self) -> str:
        keys = [self.random.choice(KEYS) for _ in range(self.random.randint(2, 5))]
        if self.random.random() < 0.5:
            keys = [self.random.choice(("enter", "escape", "f6", "f10"))] * len(keys)
        send(self.app, *keys, apart_s=self.random.choice((0.0, 0.01)))
        await settled(self.app, self.pilot)
        return " ".join(keys)

    def _cell(self) -> tuple[int, int]:
        seen = targets_and_keys(self.app)
        if seen and self.random.random() < 0.7:
            region = self.random.choice(seen).region
            return (
                region.x + self.random.randrange(region.width),
                region.y + self.random.randrange(region.height),
            )
        return (self.random.randrange(self.app.size.width), self.random.randrange(self.app.size.height))

    def _finger(self, at: tuple[int, int], lifted_at: tuple[int, int] | None = None) -> None:
        for kind, cell in ((events.MouseDown, at), (events.MouseUp, lifted_at or at)):
            event = kind(None, *cell, 0, 0, 1, False, False, False, *cell)
            event.time = self.app.taps.clock()
            self.app.post_message(event)

    async def _tap(self) -> str:
        cell = self._cell()
        self._finger(cell, self._cell() if self.random.random() < 0.1 else None)
        await settled(self.app, self.pilot)
        return str(cell)

    async def _tap_and_key(self) -> str:
        cell, key = self._cell(), self.random.choice(KEYS)
        for deed in self.random.sample(
            [lambda: self._finger(cell), lambda: self._finger(cell), lambda: send(self.app, key)], 3
        ):
            deed()  # type: ignore[no-untyped-call]
        await settled(self.app, self.pilot)
        return f"{cell} {key}"

    async def _scan_and_tap(self) -> str:
        text = self._text()
        at, cell = self.random.randrange(len(text)), self._cell()
        send(self.app, *text[:at], apart_s=0.005)
        self._finger(cell)
        send(self.app, *text[at:], "enter", apart_s=0.005)
        await settled(self.app, self.pilot)
        return f"{text!r} {cell}"

    async def _type(self) -> str:
        text = "".join(self.random.choice(TYPED) for _ in range(self.random.randint(1, 6)))
        for character in text:
            send(self.app, character)
            await settled(self.app, self.pilot)
            pass_time(self.app, self.random.choice((0.07, 0.3)))
        return repr(text)

    async def _walk_on(self) -> str:
        """As a person does: the big action again and again, each when the one before is done."""
        times = self.random.randint(2, 8)
        for _ in range(times):
            if self.app.is_running:
                pass_time(self.app)
                send(self.app, "enter")
                await settled(self.app, self.pilot)
        return f"{times}"

    async def _size(self) -> str:
        size = (self.random.randint(20, 200), self.random.randint(6, 60))
        if self.random.random() < 0.7:
            size = self.random.choice(((64, 20), (73, 20), (80, 24), (120, 36), (160, 50)))
        await self.pilot.resize_terminal(*size)
        await settled(self.app, self.pilot)
        return f"{size}"

    async def _wait(self) -> str:
        clocks = self.app.bench.record.clocks
        assert isinstance(clocks, SteadyClocks)
        minutes = self.random.choice((0.5, 3, 20, 90, 600))
        clocks.go(minutes)
        self.quiet_minutes += minutes
        pass_time(self.app, minutes * 60)
        if self.app.on_wall:
            self.app.look_whether_quiet()
            await settled(self.app, self.pilot)
        return f"{minutes} min"

    # What is held

    def _hold(self, name: str, before: int) -> None:
        bench = self.app.bench
        written = bench.record.journal.after(before)
        used = [one for one in written if isinstance(one.body, WordsTyped) and not one.body.text]
        if self.seen.acted:  # what is done with words drops them
            written = [one for one in written if one not in used]
        ended = [one for one in written if isinstance(one.body, SittingCut) and one.body.left_alone]
        if ended:  # whatever came first after long quiet: it is recorded of itself, and asked for by nobody
            assert len(ended) == 1 and self.quiet_minutes >= 60, "ended with somebody there"
            written = [one for one in written if one not in ended and not isinstance(one.body, RunStarted)]
        self.quiet_minutes = self.quiet_minutes if name in ("wait", "size") else 0.0
        kinds = {event.body.kind for event in written}
        self.counts["events"] += len(written)
        if name in ("scan", "paste", "size", "wait"):
            assert not kinds, f"{name} recorded {kinds}"
            assert not self.seen.acted, f"{name} pressed {self.seen.acted}"
        if name not in ("type", "walk_on"):  # these are presses apart; a space does the big action
            assert len(self.seen.acted) <= 1, f"{self.seen.acted} read together"
        may = set(HALF_TYPED if name in ("type", "key", "keys", "tap", "tap_and_key", "scan_and_tap") else ())
        for pressed in self.seen.acted:
            for words, recorded in RECORDS.items():
                if words in pressed:
                    may |= recorded | WITH_ANY
        assert kinds <= may | (OPENING if kinds & HALF_TYPED else set()), (
            f"{kinds - may} was recorded by {self.seen.acted or name}: no row of RECORDS says so"
        )
        if not self.app.is_running:
            by = ("Leave the wall screen?",) if self.app.on_wall else ("CLOSE UP", "Close up all the same?")
            left = [one for one in self.seen.acted if one.strip().startswith(by)]
            # In a window too small F10 still leaves, and nothing else does anything.
            small = is_too_small(self.app.size) and not self.app.on_wall
            assert left or small, f"left by {self.seen.acted}"
            return
        assert self.app._exception is None
        screen = self.app.screen
        assert isinstance(screen, KioskScreen | Dialog | CalmScreen)
        if is_too_small(self.app.size):
            assert not kinds, f"{self.seen.acted} recorded {kinds} in a window too small"
            if isinstance(screen, CalmScreen):  # it is read from afar, and shows what has room
                return
            shown = " ".join(" ".join(screen_text(self.app)).split())
            assert TOO_SMALL.split(":")[0] in shown, f"a window too small is not told: {shown}"
            return
        assert isinstance(screen, CalmScreen) or screen._actions, "nothing can be pressed"

    async def way_out(self) -> None:
        """Escape and F1 lead to the place from anywhere, and something stands there."""
        pass_time(self.app)
        if is_too_small(self.app.size):
            await self.pilot.resize_terminal(80, 24)
            await settled(self.app, self.pilot)
        for _ in range(4):
            if isinstance(self.app.screen, KioskScreen):
                break
            send(self.app, "escape")
            await settled(self.app, self.pilot)
            pass_time(self.app)
        assert isinstance(self.app.screen, KioskScreen), "no way out of the dialog"
        send(self.app, "f1")
        await settled(self.app, self.pilot)
        stands = f"{[type(one).__name__ for one in self.app.screen_stack]} of {self.app.size}"
        assert type(self.app.screen) is PlaceScreen and len(self.app.screen_stack) == 1, stands
        pass_time(self.app)


async def _episode(shop: Path, random_numbers: random.Random, bursts: int, counts: Counter[str]) -> None:
    """So many bursts on one copy of the shop, from one of the scenes on."""
    clocks = SteadyClocks(NOW)
    scene = random_numbers.choice(SCENES)
    if random_numbers.random() < 0.2:
        bench = Bench(shop, clocks)
        bench.set_pin("wren", "", PIN)
        bench.close()
        counts["copies with a PIN"] += 1
    elif scene.before is not None:
        bench = Bench(shop, clocks)
        scene.before(bench)
        bench.close()
        clocks.go(30)
    bench = Bench(shop, clocks, watch=True)
    app = KioskApp(bench, taps_clock=TapsClock(), wall=scene.wall or random_numbers.random() < 0.2)
    fuzz: Fuzz | None = None
    try:
        async with running(app, (80, 24)) as pilot:
            fuzz = Fuzz(app, pilot, random_numbers)
            for key in scene.keys:
                pass_time(app)
                send(app, key)
                await settled(app, pilot)
            if scene.then is not None:
                scene.then(app)
                await settled(app, pilot)
            fuzz.watch()
            for number in range(bursts):
                if not app.is_running:
                    break
                await fuzz.burst()
                if app.is_running and number % 12 == 11:
                    assert any(row.strip() for row in screen_text(app)), "the screen is black"
                    await fuzz.way_out()
            assert bench.record.journal.first_bad_event() is None
    except BaseException:
        if fuzz is not None:
            print(f"from {scene.name}: ", *fuzz.last, sep="\n  ", file=sys.stderr)
        raise
    finally:
        if fuzz is not None:
            counts.update(fuzz.counts)
        bench.close()


def fuzz(shop: Path, into: Path, seed: int, bursts: int) -> Counter[str]:
    """So many random bursts on copies of a shop, made in ``into``; gives how many of each kind, and where."""
    random_numbers = random.Random(seed)
    counts: Counter[str] = Counter()
    done = 0
    while done < bursts:
        copy = into / "copy"
        shutil.copytree(shop, copy)
        asyncio.run(_episode(copy, random_numbers, min(EPISODE, bursts - done), counts))
        shutil.rmtree(copy)
        gc.collect()  # an app among others freezes nothing, and hundreds are started here
        done = sum(count for name, count in counts.items() if name.startswith("on "))
    return counts


def main(bursts: int, seed: int) -> None:
    """Run it and say how it went."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as name, fixed_zone():
        made = Path(name) / "shop"
        make_played_shop(made)
        counts = fuzz(made, Path(name), seed, bursts)
    print(f"{bursts} bursts from seed {seed} in {time.monotonic() - begun:.0f} s")
    for what, count in sorted(counts.items()):
        print(f"{count:7} {what}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
