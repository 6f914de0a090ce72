"""References to a step or a check are read once, from the file, and are types from then on."""

import pytest
from pydantic import ValidationError

from kiosk.demo_player import Done
from kiosk.shop.procedure import CheckRef, StepRef, Wait

STANDING = {"what": "standing", "must_pass": "30 min", "before": "spray"}


def test_a_reference_is_read_from_the_file_as_a_type() -> None:
    wait = Wait.model_validate({**STANDING, "from_check": "read-data-sheet/stand"})
    assert wait.from_check == CheckRef("read-data-sheet", "stand")
    assert str(wait.from_check) == "read-data-sheet/stand"
    done = Done.model_validate({"parts": ["FB-NR"], "through": "form-block/seal-block"})
    assert done.through == StepRef("form-block", "seal-block")


@pytest.mark.parametrize("text", ["stand", "/stand", "read-data-sheet/", "a/b/c"])
def test_what_is_no_reference_is_said_with_the_form_it_has(text: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Wait.model_validate({**STANDING, "from_check": text})
    assert caught.value.errors()[0]["ctx"]["error"].mend == "write it step/check"
