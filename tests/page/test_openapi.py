"""Made requests against the description: never a fault, always what is described."""

from __future__ import annotations

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import CHECKS

from climrisk.web.screens import SCREENS
from tests.page.conftest import served_demo
from tests.reliability.long_runs import repeats

#: What every answer must keep. A name of a plant or spot that is made up is no
#: violation of the schema, so that it may be refused, or be taken.
CHECKED = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
)


#: Nothing is fetched in tests.
NETWORK = ("town", "at", "station", "fill", "combine")


@pytest.fixture(scope="module")
def described(tmp_path_factory):
    logs = tmp_path_factory.mktemp("logs")
    with served_demo(logs) as url:
        yield schemathesis.openapi.from_url(f"{url}/openapi.json")


@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda m: m.value)
@pytest.mark.parametrize("path", ["/healthz", *(f"/{s.path}.json" for s in SCREENS)])
def test_made_requests_are_answered_as_described(described, path, mode):
    operation = described[path]["GET"]
    if mode is GenerationMode.NEGATIVE and path == "/healthz":
        pytest.skip("it takes no argument that could be wrong")
    statuses = []

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(
        max_examples=repeats(3, 30),
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    def ask(case):
        query = {k: v for k, v in (case.query or {}).items() if k not in NETWORK}
        if path != "/healthz":
            # One year and one world: the door is tried, not the arithmetic.
            query["years"] = 1
            if "members" in query:
                query["members"] = 1
        case.query = query
        answer = case.call_and_validate(
            checks=CHECKS.get_by_names(CHECKED), timeout=120
        )
        statuses.append(answer.status_code)

    ask()
    assert len(statuses) >= 1
    assert set(statuses) <= (
        {200, 422} | ({404, 405} if mode is GenerationMode.NEGATIVE else set())
    )
