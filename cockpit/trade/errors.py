"""What the trade refuses: always one sentence that says what, where and what to do."""


class TradeError(ValueError):
    """Something the trade cannot work with; ``field`` names the ticket's field at fault, if any."""

    def __init__(self, sentence: str, field: str | None = None) -> None:
        """Keep the sentence for the operator and the field it belongs beside."""
        super().__init__(sentence)
        self.field = field


class TicketError(TradeError):
    """A hole ticket that contradicts itself or what exists; ``field`` says where."""
