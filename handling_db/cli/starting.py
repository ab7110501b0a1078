"""What makes a start quick, for every command: nothing is collected, and what nobody asks for is not loaded.

Click needs the module `inspect` for the help of options, and that module half of the standard library's
compiler tools: a sixth of a look-up. Whoever asks for anything in it but one line of help still gets it.
"""

from __future__ import annotations

import gc
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from types import ModuleType, TracebackType
    from typing import Any
else:
    ModuleType = type(sys)  # no module is loaded here: this one is read before the collector rests


class Later(ModuleType):
    """Stands for a module of the standard library until something in it is asked for.

    Parameters
    ----------
    name : str
        Of the module.
    """

    def __getattr__(self, name: str) -> Any:
        import importlib

        if sys.modules.get(self.__name__) is self:
            del sys.modules[self.__name__]
        found = importlib.import_module(self.__name__)  # other threads wait for it here
        vars(self).update(vars(found))  # for those who have this one in hand
        return getattr(found, name)


class Startup:
    """A block of imports during which the collector rests: nothing that is loaded is garbage."""

    def __enter__(self) -> None:
        self._collecting = gc.isenabled()
        gc.disable()
        if "inspect" not in sys.modules:
            inspect = sys.modules["inspect"] = Later("inspect")

            def cleandoc(text: str) -> str:
                if "\n" not in text:
                    return text.expandtabs().lstrip()
                found: str = inspect.__getattr__("cleandoc")(text)
                return found

            vars(inspect)["cleandoc"] = cleandoc

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._collecting:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()  # what was loaded is old now: a collection of what is young leaves it alone
            gc.enable()


LATE = 50_000  # objects; a look-up makes fewer


def first_collection_late() -> None:
    """Collect garbage for the first time after so many objects, and from then on as usual.

    What a process has loaded until then stays: no collection goes through it.
    """
    usual = gc.get_threshold()
    late = LATE, *usual[1:]

    def as_usual(_phase: str, _told: dict[str, int]) -> None:
        if gc.get_threshold() == late:  # else a long piece of work has its own for a while
            gc.callbacks.remove(as_usual)
            gc.set_threshold(*usual)
            gc.freeze()

    gc.callbacks.append(as_usual)
    gc.set_threshold(*late)
