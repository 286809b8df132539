"""Compiled functions whose machine code is read from the disk, without the compiler.

Importing numba and letting it load a function takes half a second of processor time,
as long as all else that a command imports. So what it has compiled for some types of
arguments is stored as a plain object file, which LLVM links in a few milliseconds; the
compiler is only imported for what is lacking. A file belongs to the source of the
function, to the versions of compiler and LLVM, and to the processor.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import os
import sys
import threading
from collections.abc import Callable, Sequence
from functools import cache, cached_property, lru_cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.atomic_files import replace_file, sealed, unsealed
from climrisk.core.notes import note
from climrisk.core.paths import cache_folder

#: Name of the function in its object file.
_ENTRY = "climrisk_compiled"
#: Helpers that the code may call, as they are put into its object file. The arrays
#: belong to the caller, who outlives the call: what would free them is never reached.
#: A root is an instruction of the processor.
_HELPERS = {
    "NRT_MemInfo_call_dtor": "define void @NRT_MemInfo_call_dtor(ptr %x) { ret void }",
    "sqrtf": """
        declare float @llvm.sqrt.f32(float)
        define float @sqrtf(float %x) {
            %root = call float @llvm.sqrt.f32(float %x)
            ret float %root
        }""",
}
#: Ends the name of the mark that numba itself stores some machine code.
_LEFT = ".numba"
#: Statuses of a function that went well: with a value, and without.
_WENT_WELL = (0, -2)
_C_TYPES: dict[str, Any] = {
    "bool": ctypes.c_int8,
    "int64": ctypes.c_int64,
    "float32": ctypes.c_float,
    "float64": ctypes.c_double,
}


class Compiled:
    """A compiled function, from its object file or else from the compiler.

    Parameters
    ----------
    module, name : str
        Where the function that numba compiles is found; imported only to compile.
    sources : sequence of str
        Modules whose text the machine code depends on, its own among them.
    """

    def __init__(self, module: str, name: str, sources: Sequence[str]) -> None:
        self._module, self.name, self._sources = module, name, tuple(sources)
        self._calls: dict[tuple[Any, ...], Callable[..., Any]] = {}
        self._lock = threading.RLock()

    def __call__(self, *given: Any) -> Any:
        """Run the function; arguments are not converted."""
        form = tuple(map(_form_of, given))
        call = self._calls.get(form)
        if call is None:
            with self._lock:
                # Another thread may have loaded it meanwhile.
                call = self._calls.get(form) or self._stored(form)
                if call is None:
                    if not self.is_stored(form):
                        _say_that_it_takes_time()
                    call = self.dispatcher
                self._calls[form] = call
        return call(*given)

    def function(self) -> Any:
        """Return the function for the compiler."""
        return getattr(import_module(self._module), self.name)

    @cached_property
    def sources(self) -> str:
        """Digest of all source text."""
        return _digest("\0".join(map(_text_digest, self._sources)).encode())

    @cached_property
    def dispatcher(self) -> Any:
        """The function of the compiler; what it compiles is stored."""
        found = self.function()
        cache = getattr(found, "_cache", None)  # none where compiling is off
        if cache is not None:
            save = cache.save_overload

            def store_or_save(types: Any, made: Any) -> None:
                if not self._store(types, made):
                    save(types, made)

            cache.save_overload = store_or_save
        return found

    @cached_property
    def folder(self) -> Path:
        """Where its object files are.

        As numba chooses: what NUMBA_CACHE_DIR names, else beside the source, else the
        user's cache.
        """
        source = _source(self._module).parent
        named = os.environ.get("NUMBA_CACHE_DIR")
        beside = source / "__pycache__"
        if not named:
            with contextlib.suppress(OSError):
                beside.mkdir(exist_ok=True)
                if os.access(beside, os.W_OK):
                    return beside
        base = Path(named) if named else cache_folder() / "compiled"
        return base / f"{source.name}_{_digest(str(source).encode())}"

    def compile(self, form: tuple[Any, ...]) -> None:
        """Compile the function for some types of arguments, unless it is stored."""
        if not self.is_stored(form):
            self.dispatcher.compile(tuple(map(_type_of, form)))

    def is_stored(self, form: tuple[Any, ...]) -> bool:
        """Whether the machine code for some types of arguments is on the disk.

        Also where numba itself had to store it.
        """
        file = self._file(form)
        return file.is_file() or file.with_suffix(_LEFT).is_file()

    def load(self, form: tuple[Any, ...]) -> bool:
        """Load the machine code for some types of arguments; whether it was there."""
        call = self._stored(form)
        if call is not None:
            self._calls[form] = call
        return call is not None

    def _file(self, form: tuple[Any, ...]) -> Path:
        form_digest = _digest(repr(form).encode())
        name = f"{self.name}.{self.sources}.{_machine()}.{form_digest}.obj"
        return self.folder / name

    def _stored(self, form: tuple[Any, ...]) -> Callable[..., Any] | None:
        try:
            body = unsealed(self._file(form).read_bytes())
        except OSError:
            return None
        return None if body is None else _linked(body, form)

    def _store(self, types: Any, made: Any) -> bool:
        """Write the object file of what was just compiled; whether that worked."""
        body = None
        # The compiler may be built otherwise than the versions that are known here.
        with contextlib.suppress(AttributeError, TypeError, ValueError, RuntimeError):
            body = _object_code(made)
        try:
            path = self._file(tuple(map(_form_of_type, types)))
            path.parent.mkdir(parents=True, exist_ok=True)
            if body is None:
                path.with_suffix(_LEFT).touch()
                return False
            replace_file(path, sealed(body), sync=False)
        except (OSError, TypeError):
            return False
        for other in path.parent.glob(f"{self.name}.*.{_machine()}.*"):
            if not other.name.startswith(f"{self.name}.{self.sources}."):
                other.unlink(missing_ok=True)
        return True


@cache
def _say_that_it_takes_time() -> None:
    """Say it, once: a command needs a dozen functions."""
    note("compiling for this machine, once: some ten seconds")


@cache
def _source(module: str) -> Path:
    found = find_spec(module)
    assert found is not None
    assert found.origin is not None
    return Path(found.origin)


@cache
def _text_digest(module: str) -> str:
    """Return the digest of a module's text; many functions depend on the same few."""
    return _digest(_source(module).read_bytes())


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]


@lru_cache(maxsize=1)
def _machine() -> str:
    """Return a digest of all but the source that decides how code is compiled."""
    import llvmlite  # type: ignore[import-untyped]
    from llvmlite import binding

    numba = _source("numba").parent / "_version.py"
    settings = {k: v for k, v in os.environ.items() if k.startswith("NUMBA_")}
    settings.pop("NUMBA_CACHE_DIR", None)
    parts = (
        *(sys.implementation.cache_tag, llvmlite.__version__, numba.read_bytes()),
        *(binding.get_process_triple(), binding.get_host_cpu_name()),
        *(binding.get_host_cpu_features().flatten(), sorted(settings.items())),
    )
    return _digest(repr(parts).encode())


def _form_of(value: Any) -> Any:
    """Return what the machine code depends on of an argument."""
    kind = type(value)
    if kind is np.ndarray:
        flags = value.flags
        if flags.carray and flags.c_contiguous:  # aligned and writable besides
            return value.dtype.str, value.ndim, "C", True, True
        layout = "C" if flags.c_contiguous else "F" if flags.f_contiguous else "A"
        shape = value.dtype.str, value.ndim, layout
        return (*shape, bool(flags.writeable), bool(flags.aligned))
    if kind in _FORMS:
        return _FORMS[kind]
    if kind is tuple:
        return tuple(map(_form_of, value))
    if kind is type:
        return f"class {np.dtype(value).name}"
    return np.dtype(kind).name


_FORMS = {type(None): "none", bool: "bool", int: "int64", float: "float64"}


def array_form(dtype: str, dimensions: int) -> tuple[Any, ...]:
    """Return the form of a contiguous array."""
    return np.dtype(dtype).str, dimensions, "C", True, True


def plain_array(x: Any, dtype: Any) -> NDArray[Any]:
    """Return an array in the one form that a compiled function is compiled for."""
    return np.require(x, dtype, ["C", "A", "W"])


def _is_array(form: Any) -> bool:
    return isinstance(form, tuple) and len(form) == 5 and isinstance(form[3], bool)


def _type_of(form: Any) -> Any:
    """Return numba's type of an argument of some form."""
    from numba import types
    from numba.np.numpy_support import from_dtype

    if _is_array(form):
        stored, dimensions, layout, writable, aligned = form
        kind = from_dtype(np.dtype(stored))
        return types.Array(kind, dimensions, layout, not writable, None, aligned)
    if isinstance(form, tuple):
        return types.Tuple(tuple(map(_type_of, form)))  # type: ignore[no-untyped-call]
    if form.startswith("class "):
        return types.NumberClass(getattr(types, form.removeprefix("class ")))
    return {"none": types.none, "bool": types.boolean}.get(form) or getattr(types, form)


def _form_of_type(kind: Any) -> Any:
    """Return the form of an argument of one of numba's types.

    Raises
    ------
    TypeError
        A type that no argument of a compiled function has.
    """
    from numba import types
    from numba.np.numpy_support import as_dtype

    if isinstance(kind, types.Array):
        stored = as_dtype(kind.dtype).str
        return stored, kind.ndim, kind.layout, kind.mutable, kind.aligned
    if isinstance(kind, types.NoneType):
        return "none"
    if isinstance(kind, types.BaseTuple):
        return tuple(map(_form_of_type, kind))  # type: ignore[call-overload]
    if isinstance(kind, types.NumberClass):
        return f"class {kind.instance_type.name}"
    if isinstance(kind, types.Boolean | types.Integer | types.Float):
        return kind.name
    msg = f"no form of {kind}"
    raise TypeError(msg)


def _object_code(made: Any) -> bytes:
    """Return an object file with a compiled function and nothing of Python in it.

    The compiler's own has the wrappers that Python calls as well, and needs the
    compiler's helpers to be linked.

    Raises
    ------
    ValueError
        The function itself needs a helper, as for new arrays or errors.
    """
    from llvmlite import binding

    library = made.library
    code = binding.parse_assembly(library.get_llvm_str())
    entry = code.get_function(made.fndesc.llvm_func_name)
    entry.name = _ENTRY
    for name in {function.name for function in code.functions} & set(_HELPERS):
        code.link_in(binding.parse_assembly(_HELPERS[name]))
    for function in code.functions:
        if not function.is_declaration and function.name != _ENTRY:
            function.linkage = "internal"
    machine = library.codegen._tm
    options = binding.create_pipeline_tuning_options(speed_level=0)
    passes = binding.create_new_module_pass_manager()
    passes.add_global_dead_code_eliminate_pass()
    passes.run(code, binding.create_pass_builder(machine, options))
    outside = [f.name for f in code.functions if f.is_declaration]
    if any(not name.startswith("llvm.") for name in outside):
        msg = f"compiled code needs {outside}"
        raise ValueError(msg)
    return bytes(machine.emit_object(code))


@lru_cache(maxsize=1)
def _linker() -> Any:
    """Return what links object files into this process, for its whole life."""
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    return binding.Target.from_default_triple()


#: What holds linked code, which goes with it.
_engines: list[Any] = []


def _linked(body: bytes, form: tuple[Any, ...]) -> Callable[..., Any] | None:
    """Return a function of an object file, by the calling convention of numba.

    It takes where its value goes, where an error goes, and the parts of all arguments:
    of an array its owner (none), parent, size, item's size, data, shape and strides.
    """
    from llvmlite import binding

    engine = binding.create_mcjit_compiler(
        binding.parse_assembly(""), _linker().create_target_machine()
    )
    engine.add_object_file(binding.object_file.ObjectFileRef.from_data(body))
    engine.finalize_object()
    address = engine.get_function_address(_ENTRY)
    if not address:
        return None
    _engines.append(engine)
    kinds: list[Any] = []
    for one in form:
        kinds += _c_types(one)
    plain = ctypes.CFUNCTYPE(ctypes.c_int32, *(ctypes.c_void_p,) * 2, *kinds)(address)

    def call(*given: Any) -> bool:
        value, error = ctypes.c_int64(), ctypes.c_void_p()
        parts: list[Any] = []
        for one in given:
            _add_parts(one, parts)
        status = plain(ctypes.addressof(value), ctypes.addressof(error), *parts)
        if status not in _WENT_WELL:
            msg = f"compiled code ended with status {status}"
            raise RuntimeError(msg)
        return bool(value.value & 1)

    return call


def _c_types(form: Any) -> list[Any]:
    if isinstance(form, str):
        return [_C_TYPES.get(form, ctypes.c_void_p)]
    if _is_array(form):
        numbers = (ctypes.c_int64,) * 2
        sizes = (ctypes.c_int64,) * (2 * form[1])
        return [*(ctypes.c_void_p,) * 2, *numbers, ctypes.c_void_p, *sizes]
    return [kind for one in form for kind in _c_types(one)]


def _add_parts(value: Any, parts: list[Any]) -> None:
    kind = type(value)
    if kind is np.ndarray:
        data = value.__array_interface__["data"][0]
        parts += (None, None, value.size, value.itemsize, data)
        parts += value.shape
        parts += value.strides
    elif kind in (int, float, bool):
        parts.append(value)
    elif value is None or kind is type:
        parts.append(None)
    elif kind is tuple:
        for one in value:
            _add_parts(one, parts)
    else:
        parts.append(value.item())
