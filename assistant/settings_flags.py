"""Every option as a flag of a command, made from the options themselves, so that none is ever missing."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import typer

from assistant.settings import OPTIONS, Held, flag_of, load

_PANEL = "Settings"


def takes_settings(*tables: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Decorates a typer command that has a parameter `held: Held`: gives it a flag for every option of `tables`.

    All tables where none is named. A flag that is not given leaves the option to environment and files.
    """
    wanted = [option for option in OPTIONS.values() if not tables or option.name.split(".")[0] in tables]
    by_parameter = {option.name.replace(".", "__"): option for option in wanted}

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        signature = inspect.signature(command, eval_str=True)
        own = [parameter for name, parameter in signature.parameters.items() if name != "held"]

        def with_settings(**given: Any) -> Any:
            flags = {option.name: given.pop(name) for name, option in by_parameter.items()}
            return command(**given, held=load(flags))

        flagged = [
            inspect.Parameter(
                name,
                inspect.Parameter.KEYWORD_ONLY,
                default=None,
                annotation=_annotation(option.name, option.default, option.meaning),
            )
            for name, option in by_parameter.items()
        ]
        with_settings.__name__ = command.__name__
        with_settings.__doc__ = command.__doc__
        kept = [parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY) for parameter in own]
        with_settings.__signature__ = signature.replace(parameters=[*kept, *flagged])  # type: ignore[attr-defined]
        with_settings.__annotations__ = {p.name: p.annotation for p in (*kept, *flagged)}
        return with_settings

    return decorate


def _annotation(option: str, default: object, meaning: str) -> Any:
    flag = flag_of(option)
    if isinstance(default, bool):
        return Annotated[
            bool | None,
            typer.Option(f"{flag}/--no-{flag[2:]}", help=meaning, rich_help_panel=_PANEL, show_default=False),
        ]
    kind = type(default)
    shown = typer.Option(flag, help=meaning, rich_help_panel=_PANEL, show_default=False)
    return Annotated[kind | None, shown]


__all__ = ["Held", "takes_settings"]
