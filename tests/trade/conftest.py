"""The shop that the shipped profiles describe."""

import tomllib
from pathlib import Path
from typing import TypeVar

import pytest
from pydantic import BaseModel

from cockpit.trade.cautions import MaterialList
from cockpit.trade.checks import Checklist
from cockpit.trade.current import Machine
from cockpit.trade.electrodes import Rack
from cockpit.trade.price import RateCard
from cockpit.trade.ticket import Shop

PROFILES = Path(__file__).parents[2] / "profiles"

Model = TypeVar("Model", bound=BaseModel)


def shipped(kind: str, model: type[Model]) -> Model:
    text = (PROFILES / kind / "standard.toml").read_text(encoding="utf-8")
    return model.model_validate(tomllib.loads(text))


@pytest.fixture(scope="session")
def machine() -> Machine:
    return shipped("machine", Machine)


@pytest.fixture(scope="session")
def rack() -> Rack:
    return shipped("electrodes", Rack)


@pytest.fixture(scope="session")
def checklist() -> Checklist:
    return shipped("checklists", Checklist)


@pytest.fixture(scope="session")
def materials() -> MaterialList:
    return shipped("materials", MaterialList)


@pytest.fixture(scope="session")
def rates() -> RateCard:
    return shipped("rates", RateCard)


@pytest.fixture(scope="session")
def shop(machine: Machine, rack: Rack, materials: MaterialList, rates: RateCard) -> Shop:
    return Shop.of(machine, rack, materials.materials, rates)
