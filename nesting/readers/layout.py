"""The layout file, schema ``yardage-layout/1``, back to the model."""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    field_validator,
    model_validator,
)

from ..errors import InputError, InputFileError
from ..geometry.rings import as_points
from ..model.layout import (
    Buy,
    Hand,
    Joining,
    LaidFlaw,
    LaidFold,
    LaidRepeat,
    Lay,
    Layout,
    LayStatus,
    Placement,
    SolverRun,
)
from ..model.pattern import Notch
from ..model.problem import Position
from ..model.resume import Resume, Start
from ..model.train import TrainCase, TrainStudy, WidthLength, WidthStep
from ..tolerances import LARGEST_FILE_BYTES
from ..units import Unit
from .words import refuse_control_letters

_REMEDY = "write it again with `yardage lay`"

XY = tuple[float, float]
Ring = Annotated[list[XY], Field(min_length=3)]
Path2 = Annotated[list[XY], Field(min_length=2)]
Length = Annotated[float, Field(ge=0)]


class _Part(BaseModel):
    """An object of the file: unknown keys refused, nothing converted, numbers finite."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)
    _words = field_validator("*")(refuse_control_letters)


class _Notch(_Part):
    at: XY
    angle: float | None = None
    depth: float = 0.0
    width: float = 0.0
    kind: str = "slit"

    def model(self) -> Notch:
        return Notch(self.at, self.angle, self.depth, self.width, self.kind)


class _Placement(_Part):
    piece: str
    copy_number: Annotated[int, Field(alias="copy", ge=1)]
    mirrored: bool
    turned: float
    layers: Annotated[int, Field(ge=1, le=2)] = 1
    on_fold: bool = False
    outline: Ring
    grain: tuple[XY, XY]
    points: dict[str, XY] = {}
    held: list[str] = []
    hand: Hand = ""
    cutouts: list[Ring] = []
    sew_lines: list[Path2] = []
    internal_lines: list[Path2] = []
    stripe_lines: list[Path2] = []
    plaid_lines: list[Path2] = []
    notches: list[_Notch] = []
    drill_holes: list[XY] = []

    def model(self) -> Placement:
        return Placement(
            piece=self.piece,
            copy=self.copy_number,
            mirrored=self.mirrored,
            turned=self.turned,
            outline=as_points(self.outline),
            grain=self.grain,
            points=dict(self.points),
            hand=self.hand,
            cutouts=tuple(as_points(ring) for ring in self.cutouts),
            sew_lines=tuple(as_points(path) for path in self.sew_lines),
            internal_lines=tuple(as_points(path) for path in self.internal_lines),
            stripe_lines=tuple(as_points(path) for path in self.stripe_lines),
            plaid_lines=tuple(as_points(path) for path in self.plaid_lines),
            notches=tuple(notch.model() for notch in self.notches),
            drill_holes=tuple(self.drill_holes),
            held=tuple(self.held),
            layers=self.layers,
            on_fold=self.on_fold,
        )


class _Buy(_Part):
    length: Length
    text: str
    cost: float | None
    made_of: dict[str, float]

    def model(self) -> Buy:
        return Buy(self.length, self.text, self.cost, dict(self.made_of))


class _Flaw(_Part):
    outline: Ring
    kind: str = ""
    hide: Literal["no", "allowance"] = "no"

    def model(self) -> LaidFlaw:
        return LaidFlaw(as_points(self.outline), self.kind, self.hide)


class _Repeat(_Part):
    along: Length
    across: Length
    drop: Literal["none", "half"] = "none"
    offset: XY = (0.0, 0.0)

    def model(self) -> LaidRepeat:
        return LaidRepeat(self.along, self.across, self.drop, self.offset)


class _Fold(_Part):
    kind: Literal["lengthwise", "crosswise", "partial", "middle"]
    edges: list[tuple[XY, XY]] = []
    double: list[tuple[float, float, float, float]] = []
    end: float | None = None

    def model(self) -> LaidFold:
        return LaidFold(self.kind, tuple(self.edges), tuple(self.double), self.end)


class _Lay(_Part):
    cloth: str
    panel: int | None = None
    panel_name: str = ""
    panel_outline: Ring | None = None
    fold: str = "open"
    layers: int = 1
    folding: _Fold | None = None
    usable_width: Annotated[float, Field(gt=0)]
    length: Length
    status: LayStatus
    reason: str = ""
    proven_minimum: Length
    utilisation: Length
    buy: _Buy
    placements: list[_Placement]
    cloth_width: float | None = None
    selvage: Length = 0.0
    nap: Literal["none", "one-way"] = "none"
    repeat: _Repeat | None = None
    flaws: list[_Flaw] = []
    without: dict[str, Length] = {}
    remarks: list[str] = []
    leftover: tuple[float, float, float, float] | None = None

    def model(self) -> Lay:
        width = self.usable_width if self.cloth_width is None else self.cloth_width
        return Lay(
            cloth=self.cloth,
            usable_width=self.usable_width,
            length=self.length,
            status=self.status,
            proven_minimum=self.proven_minimum,
            utilisation=self.utilisation,
            buy=self.buy.model(),
            placements=tuple(placement.model() for placement in self.placements),
            cloth_width=width,
            selvage=self.selvage,
            nap=self.nap,
            panel=self.panel,
            fold=self.fold,
            layers=self.layers,
            folding=None if self.folding is None else self.folding.model(),
            reason=self.reason,
            repeat=None if self.repeat is None else self.repeat.model(),
            flaws=tuple(flaw.model() for flaw in self.flaws),
            panel_name=self.panel_name,
            panel_outline=None if self.panel_outline is None else as_points(self.panel_outline),
            without=dict(self.without),
            remarks=tuple(self.remarks),
            leftover=self.leftover,
        )


class _Joining(_Part):
    piece: str
    parts: list[str]
    inside: list[XY]
    lines: list[tuple[XY, XY]]
    allowance: Length

    def model(self) -> Joining:
        return Joining(
            self.piece, tuple(self.parts), tuple(self.inside), tuple(self.lines), self.allowance
        )


class _TrainCase(_Part):
    what: str
    length: Length | None
    reason: str

    def model(self) -> TrainCase:
        return TrainCase(self.what, self.length, self.reason)


class _WidthLength(_Part):
    width: Length
    whole: Length | None
    pieced: Length | None

    def model(self) -> WidthLength:
        return WidthLength(self.width, self.whole, self.pieced)


class _WidthStep(_Part):
    since: Length
    width: Length
    before: Length | None
    after: Length
    why: str
    jumps: bool

    def model(self) -> WidthStep:
        return WidthStep(self.since, self.width, self.before, self.after, self.why, self.jumps)


class _TrainStudy(_Part):
    piece: str
    cloth: str
    width: Length
    without: Length | None
    cases: list[_TrainCase]
    chart: list[_WidthLength]
    steps: list[_WidthStep]

    def model(self) -> TrainStudy:
        return TrainStudy(
            self.piece,
            self.cloth,
            self.width,
            self.without,
            tuple(case.model() for case in self.cases),
            tuple(point.model() for point in self.chart),
            tuple(step.model() for step in self.steps),
        )


class _Start(_Part):
    problem: str
    length: Length
    shapes: list[Annotated[int, Field(ge=0)]]
    at: list[XY]

    @model_validator(mode="after")
    def _one_place_each(self) -> Self:
        if len(self.shapes) != len(self.at):
            raise ValueError("shapes and at must be of one length")
        return self

    def model(self) -> Start:
        places = zip(self.shapes, self.at, strict=True)
        positions = tuple(Position(shape, x, y) for shape, (x, y) in places)
        return Start(self.problem, self.length, positions)


class _Resume(_Part):
    plan: str
    starts: list[_Start] = []

    def model(self) -> Resume:
        return Resume(self.plan, tuple(start.model() for start in self.starts))


class _Solver(_Part):
    seconds: float
    seed: int
    version: str


class _File(_Part):
    schema_name: Annotated[Literal["yardage-layout/1"], Field(alias="schema")]
    title: str
    units: Literal["mm"]
    read_back_in: Unit = "mm"
    lays: list[_Lay]
    joinings: list[_Joining] = []
    remarks: list[str] = []
    trains: list[_TrainStudy] = []
    warnings: list[str]
    resume: _Resume | None = None
    solver: _Solver


def read_layout(path: Path) -> Layout:
    """Read a layout file.

    Returns
    -------
    Layout
        Equal to the layout that was written. What a file without the optional keys leaves
        unsaid takes its default; ``units`` then is ``"mm"``. Whether the layout is right is for
        :func:`nesting.verify.check_layout` to say.

    Raises
    ------
    InputFileError
        If the file is missing, unreadable, too large or not text.
    InputError
        If it is not JSON of this schema; the message names the first thing at fault.
    """
    try:
        found = _File.model_validate_json(_content(path))
    except ValidationError as error:
        raise _first_fault(path, error) from None
    return Layout(
        title=found.title,
        units=found.read_back_in,
        lays=tuple(lay.model() for lay in found.lays),
        warnings=tuple(found.warnings),
        solver=SolverRun(found.solver.seconds, found.solver.seed, found.solver.version),
        joinings=tuple(joining.model() for joining in found.joinings),
        remarks=tuple(found.remarks),
        trains=tuple(study.model() for study in found.trains),
        resume=None if found.resume is None else found.resume.model(),
    )


def _content(path: Path) -> bytes:
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise InputFileError(
                f"it is larger than {LARGEST_FILE_BYTES // 10**6} MB",
                remedy="name a layout file",
                file=path,
            )
        return path.read_bytes().removeprefix(codecs.BOM_UTF8)
    except FileNotFoundError:
        raise InputFileError("there is no such file", remedy="check its name", file=path) from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputFileError(
            f"cannot be read: {reason}", remedy="name a layout file", file=path
        ) from None


def _first_fault(path: Path, error: ValidationError) -> InputError:
    fault = error.errors(include_url=False)[0]
    where = ".".join(str(step + 1) if isinstance(step, int) else step for step in fault["loc"])
    if fault["type"] == "json_invalid":
        return InputError(f"it is not JSON: {fault['msg']}", remedy=_REMEDY, file=path)
    if fault["type"] == "missing":
        return InputError("the key is missing", remedy=_REMEDY, file=path, item=where)
    if fault["type"] == "extra_forbidden":
        return InputError("the key is unknown", remedy="take it out", file=path, item=where)
    if fault["type"] == "value_error":
        problem = str(fault["ctx"]["error"])
        return InputError(problem, remedy=_REMEDY, file=path, item=where)
    said = fault["msg"][0].lower() + fault["msg"][1:]
    value = repr(fault["input"])
    shown = value if len(value) <= 40 else value[:37] + "..."
    return InputError(f"{said}, not {shown}", remedy=_REMEDY, file=path, item=where)
