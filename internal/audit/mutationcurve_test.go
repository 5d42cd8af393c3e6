package audit_test

import (
	"strings"
)

const withTraces = "27-with-traces"

// computation is what the bundle says of the curves of its first injection.
const computation = "injection-1/curve-computation"

// curveMutations change curves, and what is said to be computed from them.
var curveMutations = []mutation{
	{"a sample of a curve changed", "recomputed-recipe", withTraces, func(b node) {
		samples := at(res(b, "injection-1/arterial-trace/reported"), "valueSampledData")
		samples["data"] = "7" + samples["data"].(string)[1:]
	}},
	{"a section of the tubing changed beneath a computation", "recomputed-recipe", withTraces, func(b node) {
		number(component(res(b, panel), "artery-to-sensor-volume"), "0.9")
	}},
	{"what an uncertainty counts exchanged", "recomputed-value", withTraces, func(b node) {
		at(component(res(b, computation), "computation-interval"), "valueCodeableConcept", "coding", 0)["code"] = "computation-only"
	}},
	{"how the flows agree exchanged", "recomputed-value", withTraces, func(b node) {
		at(component(res(b, flow), "recomputed-agreement"), "valueCodeableConcept", "coding", 0)["code"] = "differs"
	}},
	{"a recomputed flow slipped in beside the reported one", "recomputed-not-wanted", withTraces, func(b node) {
		r := clone(res(b, first))
		at(r, "identifier", 0)["value"] = strings.Replace(at(r, "identifier", 0)["value"].(string), "/reported", "/recomputed", 1)
		for _, e := range list(r, "extension") {
			if strings.HasSuffix(e.(node)["url"].(string), "/origin") {
				e.(node)["valueCode"] = "recomputed"
			}
		}
		at(component(r, "origin"), "valueCodeableConcept", "coding", 0)["code"] = "recomputed"
		slip(b, r)
	}},
}
