"""The ground all models of the trade stand on."""

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """A model that never changes once made, takes no unknown key and no endless number.

    Lengths and the like are read under the field's own name (``diameter_mm``) or under the short
    one that profiles use (``diameter``); they are always written under the field's own name.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        validate_by_name=True,
        validate_by_alias=True,
    )
