# The extension is the C interface call by call, and private to this package; its shape is that of the
# C header. Only its classes and constants are named here.
from typing import Any

JSON_READABLE: int
JSON_CANONICAL: int
POLICY_CHECK: int
POLICY_LIVE: int
POLICY_ENERGY: int
POLICY_PHASE_TEST: int
POLICY_TRACE: int
POLICY_PROOF: int
TEXT_TITLE: int
TEXT_BODY: int
TEXT_ACTION: int
TERMINAL_COUNT: int
TERMINAL_FLOATING: int
ANGLE: dict[str, int]
POWER_FACTOR: dict[str, int]
PROOF: dict[str, int]
POINT: dict[str, int]
TEST: dict[str, int]
STAMP: dict[str, int]
ROW: dict[str, int]
SERIES: dict[str, int]
FORM_WORDS: dict[str, int]
PERIOD: dict[str, int]
STRADDLE: dict[str, int]
DEMAND: dict[str, int]
SHARE: dict[str, int]
KEY: dict[str, int]
STEP: dict[str, int]
CLASS: dict[str, int]
SEQUENCE: dict[str, int]
EXPECT: dict[str, int]
EXPECT_FLAG: dict[str, int]
LEAST_BY: dict[str, int]
PHASE: dict[str, int]
PHASE_CAUSE: dict[str, int]
PANEL: dict[str, int]
SWITCH: dict[str, int]
TRACE_CHECK: dict[str, int]
TRACED: dict[str, int]
TRACE_CAUSE: dict[str, int]
header_version_number: int
header_version_text: str
header_abi_number: int
format_version: str

DEFINED: int
REASON: dict[str, int]
VALUES: dict[str, int]
PHASORS: dict[str, int]
REGISTER: dict[str, int]
SAMPLE_TYPES: dict[str, int]

class _Handle:
    def __init__(self, *arguments: Any) -> None: ...
    def __getattr__(self, name: str) -> Any: ...

class Site(_Handle):
    @staticmethod
    def read(*arguments: Any) -> Site: ...

class Draft(_Handle):
    @staticmethod
    def read(*arguments: Any) -> Draft: ...
    @staticmethod
    def of(site: Site) -> Draft: ...

class View(_Handle): ...
class Policy(_Handle): ...
class Catalogue(_Handle): ...

class Report(_Handle):
    def __len__(self) -> int: ...

class Arrangement(_Handle): ...

class Form(_Handle):
    @staticmethod
    def of_point(view: View, point: str, neutral: bool) -> Form: ...

class Hypotheses(_Handle):
    def __len__(self) -> int: ...

class Readings(_Handle):
    def __len__(self) -> int: ...
    @staticmethod
    def read_csv(*arguments: Any) -> Readings: ...

class Live(_Handle): ...
class Expect(_Handle): ...
class PhaseTest(_Handle): ...

class Trace(_Handle):
    @staticmethod
    def of_view(*arguments: Any) -> Trace: ...

class TraceResult(_Handle): ...
class Proof(_Handle): ...
class Wave(_Handle): ...

class Intervals(_Handle):
    @staticmethod
    def read_csv(*arguments: Any) -> Intervals: ...
    @staticmethod
    def wide(*arguments: Any) -> Intervals: ...
    @staticmethod
    def arrow(*arguments: Any) -> Intervals: ...

class IntervalReader(_Handle):
    def intervals(self) -> Intervals: ...

class Statement(_Handle): ...
class Zone(_Handle): ...
class Bins(_Handle): ...
class TimeOfUse(_Handle): ...

class Demand(_Handle):
    def __len__(self) -> int: ...

class Apportionment(_Handle): ...

class RollupStream(_Handle): ...
class Plan(_Handle): ...

def __getattr__(name: str) -> Any: ...
