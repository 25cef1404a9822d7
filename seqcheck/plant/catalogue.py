"""All device types, by the name that a file gives. A new type is one file here and one line below."""

from __future__ import annotations

from seqcheck.plant.accumulator import ACCUMULATOR
from seqcheck.plant.cylinder import CYLINDER
from seqcheck.plant.decurler import DECURLER
from seqcheck.plant.device_type import DeviceType
from seqcheck.plant.drive import DRIVE
from seqcheck.plant.emergency_stop import EMERGENCY_STOP
from seqcheck.plant.free import FREE
from seqcheck.plant.guard import GUARD
from seqcheck.plant.hold_to_run import HOLD_TO_RUN
from seqcheck.plant.light_curtain import LIGHT_CURTAIN
from seqcheck.plant.line_drive import LINE_DRIVE
from seqcheck.plant.load import LOAD
from seqcheck.plant.mode_selector import MODE_SELECTOR
from seqcheck.plant.muted_light_curtain import MUTED_LIGHT_CURTAIN
from seqcheck.plant.pushbutton import PUSHBUTTON
from seqcheck.plant.rewind import REWIND
from seqcheck.plant.roll import ROLL
from seqcheck.plant.rotary_knife import ROTARY_KNIFE
from seqcheck.plant.selector import SELECTOR
from seqcheck.plant.sensor import SENSOR
from seqcheck.plant.splice import SPLICE
from seqcheck.plant.supply import SUPPLY
from seqcheck.plant.take_up import TAKE_UP
from seqcheck.plant.timed import TIMED
from seqcheck.plant.two_hand_control import TWO_HAND_CONTROL
from seqcheck.plant.vacuum import VACUUM
from seqcheck.plant.valve import VALVE
from seqcheck.plant.web_break import WEB_BREAK
from seqcheck.plant.web_guide import WEB_GUIDE

DEVICE_TYPES: dict[str, DeviceType] = {
    device_type.name: device_type
    for device_type in (
        CYLINDER,
        ROTARY_KNIFE,
        VALVE,
        SUPPLY,
        LOAD,
        VACUUM,
        DRIVE,
        LINE_DRIVE,
        ACCUMULATOR,
        REWIND,
        TAKE_UP,
        ROLL,
        WEB_BREAK,
        DECURLER,
        WEB_GUIDE,
        SPLICE,
        GUARD,
        EMERGENCY_STOP,
        PUSHBUTTON,
        HOLD_TO_RUN,
        TWO_HAND_CONTROL,
        SELECTOR,
        MODE_SELECTOR,
        LIGHT_CURTAIN,
        MUTED_LIGHT_CURTAIN,
        SENSOR,
        TIMED,
        FREE,
    )
}
