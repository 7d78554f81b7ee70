"""The shop that a command goes by: its profiles, and what its log says of now where it has one."""

from __future__ import annotations

import argparse
from contextlib import closing

from cockpit import locations, profiles
from cockpit.commands.answer import data_folder, sentences
from cockpit.flow.shop_now import log_shop
from cockpit.log import LogError
from cockpit.log.opening import lost, open_to_read
from cockpit.profiles import ProfileError
from cockpit.trade.ticket import Shop


def shop_of(asked: argparse.Namespace) -> Shop:
    """What the shop has and has learnt; what is assumed where no log was ever begun.

    Raises CommandError for a log that can't be read, and for a profile.
    """
    path = data_folder(asked.data, asked.demo) / locations.LOG_NAME
    with sentences(LogError, ProfileError):
        shop = profiles.load_shop(asked.machine, gauge=asked.gauge)
        if not path.exists() and not lost(path):
            return shop
        with closing(open_to_read(path)) as connection:
            return log_shop(connection, shop)
