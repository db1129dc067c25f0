"""Microphones and loudspeakers by name or number, and one plain sentence for each thing that can be wrong."""

from __future__ import annotations

import pytest

from assistant.devices import (
    Device,
    DeviceBusy,
    DeviceError,
    Kind,
    NoDevice,
    RateRefused,
    explain,
    pick,
)

HEADSET = Device(3, "Shop Headset USB", "ALSA", 1, 2, 48_000)
DESK = Device(4, "Desk Microphone", "ALSA", 1, 0, 44_100, is_default_input=True)
SPEAKER = Device(5, "Bench Loudspeaker", "ALSA", 0, 2, 48_000, is_default_output=True)
ALL = [HEADSET, DESK, SPEAKER]


@pytest.mark.parametrize(
    ("wanted", "found"),
    [("", DESK), ("3", HEADSET), ("shop headset usb", HEADSET), ("headset", HEADSET), ("desk", DESK)],
)
def test_a_microphone_by_number_by_name_or_by_default(wanted: str, found: Device) -> None:
    assert pick(ALL, wanted, Kind.MICROPHONE) is found


def test_the_default_loudspeaker_is_not_the_default_microphone() -> None:
    assert pick(ALL, "", Kind.LOUDSPEAKER) is SPEAKER


def test_the_first_able_one_serves_where_the_system_names_no_default() -> None:
    assert pick([SPEAKER, HEADSET], "", Kind.MICROPHONE) is HEADSET


@pytest.mark.parametrize("wanted", ["5", "bench", "17", "radio"])
def test_what_is_no_microphone_is_refused_and_the_microphones_are_named(wanted: str) -> None:
    with pytest.raises(NoDevice, match="3 'Shop Headset USB', 4 'Desk Microphone'"):
        pick(ALL, wanted, Kind.MICROPHONE)


def test_half_a_name_that_fits_two_is_asked_again() -> None:
    twin = Device(6, "Shop Headset Bluetooth", "ALSA", 1, 2, 16_000)
    with pytest.raises(NoDevice, match="could be any of these"):
        pick([*ALL, twin], "headset", Kind.MICROPHONE)
    assert pick([*ALL, twin], "Shop Headset USB", Kind.MICROPHONE) is HEADSET


def test_one_device_listed_by_several_hosts_is_one_device() -> None:
    """Windows lists each device once for every way of its own to sound."""
    twice = Device(9, "Shop Headset USB", "Windows WASAPI", 1, 2, 48_000, is_default_input=True)
    assert pick([HEADSET, twice], "headset", Kind.MICROPHONE) is twice


def test_no_microphone_at_all_leaves_the_typed_path() -> None:
    with pytest.raises(NoDevice, match="--typed"):
        pick([SPEAKER], "", Kind.MICROPHONE)
    with pytest.raises(NoDevice, match="the run goes on"):
        pick([DESK], "", Kind.LOUDSPEAKER)


@pytest.mark.parametrize(
    ("error", "meaning", "says"),
    [
        (Exception("Invalid sample rate", -9997), RateRefused, "refuses 16000 Hz"),
        (Exception("Device unavailable", -9985), DeviceBusy, "in use by another program"),
        (Exception("Unanticipated host error: Device or resource busy", -9999), DeviceBusy, "in use"),
        (Exception("Invalid device", -9996), NoDevice, "is gone"),
        (Exception("Invalid number of channels", -9998), NoDevice, "is no microphone"),
        (Exception("Internal PortAudio error", -9986), DeviceError, "Internal PortAudio error"),
        (ValueError("nonsense"), DeviceError, "nonsense"),
    ],
)
def test_each_trouble_is_one_sentence_with_what_to_do(error: Exception, meaning: type, says: str) -> None:
    trouble = explain(error, "Shop Headset USB", Kind.MICROPHONE, 16_000)
    assert type(trouble) is meaning
    assert says in str(trouble)
    assert "Shop Headset USB" in str(trouble)
    assert "\n" not in str(trouble)
