"""The home file: weather, spots, rooms and plants of one home, written as TOML.

`read_home` reads it, `edit_home` changes it and keeps what its keeper wrote.
"""

from climrisk.home.model import Home, HomeMove, HomePlant
from climrisk.home.read import demo_home, demo_home_text, parse_home, read_home
from climrisk.home.spot import HomeLearned, HomePlace, HomeRoom, HomeSpot
from climrisk.home.weather import HomeWeather
from climrisk.home.write import HomeEdit, edit_home, remove_unfinished, undo_change

__all__ = [
    "Home",
    "HomeEdit",
    "HomeLearned",
    "HomeMove",
    "HomePlace",
    "HomePlant",
    "HomeRoom",
    "HomeSpot",
    "HomeWeather",
    "demo_home",
    "demo_home_text",
    "edit_home",
    "parse_home",
    "read_home",
    "remove_unfinished",
    "undo_change",
]
