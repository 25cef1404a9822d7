"""All rule sets. A new set is one file and one line here."""

from __future__ import annotations

from seqcheck.requirements.rule_emergency_stop import EMERGENCY_STOP
from seqcheck.requirements.rule_guard_locking import GUARD_LOCKING
from seqcheck.requirements.rule_mode_change import MODE_CHANGE
from seqcheck.requirements.rule_restart import RESTART
from seqcheck.requirements.rule_set import RuleSet
from seqcheck.requirements.rule_stop_category import STOP_CATEGORY
from seqcheck.requirements.rule_stored_energy import STORED_ENERGY
from seqcheck.requirements.rule_two_hand_control import TWO_HAND_CONTROL

RULE_SETS: dict[str, RuleSet] = {
    part.name: part
    for part in (
        EMERGENCY_STOP,
        RESTART,
        GUARD_LOCKING,
        STOP_CATEGORY,
        STORED_ENERGY,
        MODE_CHANGE,
        TWO_HAND_CONTROL,
    )
}
