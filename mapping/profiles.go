package mapping

import (
	"maps"
	"slices"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// Our profiles, each named by the last part of its address. What each demands stands in
// internal/profile; here stands which resource is under which.
const (
	FlowProfile      = "flow"
	VolumeProfile    = "volume"
	ContextProfile   = "shunt-context"
	InjectionProfile = "injection"
	PanelProfile     = "panel"
	TraceProfile     = "trace"
	ReportProfile    = "report"
)

// ProfileAddress gives the address of a profile or extension of ours, below the canonical
// base.
func ProfileAddress(id string) string { return "/StructureDefinition/" + id }

// ProfileOf gives our profile for the Observation of a measure, "" where there is none.
func ProfileOf(m *measure.Measure) string {
	switch {
	case m.In != "":
		return ""
	case m.Labelled:
		return FlowProfile
	case m.Method == "dilution" && m.Kind == measure.Quantity:
		return VolumeProfile
	case m.Key == contextKey:
		return ContextProfile
	case m.Key == injectionKey:
		return InjectionProfile
	case m.Key == panelKey:
		return PanelProfile
	case m.Kind == measure.Curve:
		return TraceProfile
	}
	return ""
}

// besideOf are the local codes of components that are no facts, by profile.
var besideOf = map[string][]string{
	FlowProfile:   {labelKey, originCode},
	VolumeProfile: {originCode},
	TraceProfile:  {originCode, curveFileCode, curveResampledCode},
	PanelProfile: {
		revisionCode, verifiedRevisionCode, verifiedAtCode, changedInCode, flowBeforeCode, programCode, tableHashCode, settingsHashCode,
	},
}

// ComponentCodes gives the local codes that components have under a profile: of the
// measures that share an Observation, then of what is said beside a value.
func ComponentCodes(profile string) []string {
	var rows []*measure.Measure
	for i := range measure.All() {
		if m := &measure.All()[i]; ProfileOf(m) == profile {
			rows = append(rows, m)
		}
	}
	codes := map[string]bool{}
	for _, m := range rows {
		for _, about := range m.About {
			for code, part := range partsOf(m.Key, about) {
				codes[code] = true
				if part.row.Used != "" {
					codes[part.row.Used] = true
				}
			}
		}
	}
	return append(slices.Sorted(maps.Keys(codes)), besideOf[profile]...)
}

// LocalCodesOf gives the local codes that an Observation has under a profile.
func LocalCodesOf(profile string) []string {
	var codes []string
	add := func(code string) {
		if code != "" && !slices.Contains(codes, code) {
			codes = append(codes, code)
		}
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		if ProfileOf(m) != profile {
			continue
		}
		for _, about := range m.About {
			add(m.LocalCode(about, ""))
		}
		add(m.Used)
		for _, w := range m.Codes {
			add(w.Local)
		}
	}
	return codes
}

// ReportCode is the local code of the report.
const ReportCode = reportSuffix

// metaUnder gives what stands in meta: the mark of test data, our profile, and behind it
// the national one that is claimed; each without a version, since its address stays the
// same in all of them.
func (w *writer) metaUnder(profile string, national terms.Profile) *fhir.Meta {
	key := metaKey{profile, national.Canonical}
	meta, known := w.metas[key]
	if !known {
		meta = &fhir.Meta{}
		if w.meta != nil {
			meta.Security = w.meta.Security
		}
		if profile != "" {
			meta.Profile = append(meta.Profile, w.options.Base+ProfileAddress(profile))
		}
		if national.Canonical != "" {
			meta.Profile = append(meta.Profile, national.Canonical)
		}
		if meta.Security == nil && meta.Profile == nil {
			meta = nil
		}
		w.metas[key] = meta
	}
	return meta
}

// metaKey names what profiles a resource claims.
type metaKey struct{ profile, national string }
