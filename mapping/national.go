package mapping

import (
	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// A site may ask that the session's final values of the left ventricle also claim the
// profiles that its country has published for them (terms.Profile). What such a profile
// forbids is then written in another way: a coded component as an extension, since
// components there are quantities, and the unit in the words that it fixes. Without the
// setting, and on every value that may not claim one, nothing changes.

// nationalKey is the row of the setting.
const nationalKey = "national-profiles"

// nationalCategory is that which the profiles demand beside our own.
const nationalCategory = "vital-signs"

// nationalClaims gives the national profile that each Observation claims, by its fact.
// It is nil where the session's settings ask for none.
func nationalClaims(s *record.Session, codes coder, list []observed) map[record.Ref]terms.Profile {
	set := s.Code(record.TheSession, nationalKey)
	if set == "" {
		return nil
	}
	claims := map[record.Ref]terms.Profile{}
	for i := range list {
		o := &list[i]
		if !released(o.fact.Status) || !o.fitsQuantities() {
			continue
		}
		for _, c := range codes.of(nil, o.fact, o.row) {
			if p, ok := terms.ProfileFor(set, c.code); ok && c.system == terms.SystemLOINC && o.fact.Value.Quantity.Unit == p.Unit {
				claims[o.fact.Ref] = p
			}
		}
	}
	return claims
}

// fitsQuantities tells whether an Observation has a value, and nothing beside it that
// neither a quantity nor an extension with a code can hold: what is withheld cannot
// claim a profile.
func (o *observed) fitsQuantities() bool {
	for _, part := range o.parts {
		m := measure.Get(part.Measure)
		coded := m.Kind == measure.Code && !part.Value.IsAbsent() && string(part.Origin) == m.DefaultOrigin()
		if !coded && m.Kind != measure.Quantity {
			return false
		}
	}
	return !o.fact.Value.IsAbsent()
}

// NationalClaims gives the canonical of the national profile that each Observation of a
// settled session has to claim, by its fact; none of the others may.
func NationalClaims(s *record.Session) map[record.Ref]string {
	if s.Code(record.TheSession, nationalKey) == "" {
		return nil
	}
	list, err := observations(inOrderOfFacts(s).Facts)
	if err != nil {
		return nil
	}
	canonicals := map[record.Ref]string{}
	for ref, p := range nationalClaims(s, newCoder(s, ""), list) {
		canonicals[ref] = p.Canonical
	}
	return canonicals
}

// partExtension is the address of the extension that holds a coded part in place of a
// component, below the canonical base.
func partExtension(local string) string { return "/StructureDefinition/" + local }

// CodedParts gives the rows whose value may stand as an extension, under the address of its
// code, where a national profile keeps components for quantities.
func CodedParts() []*measure.Measure {
	var list []*measure.Measure
	for i := range measure.All() {
		m := &measure.All()[i]
		if in := measure.Get(m.In); in != nil && in.Labelled && m.Kind == measure.Code && m.Key != labelKey && m.Has(measure.Session) {
			list = append(list, m)
		}
	}
	return list
}

// completeNational adds what the profile demands: its category, and its words for the
// unit.
func (w *writer) completeNational(obs *r4.Observation, p terms.Profile) {
	obs.Category = append(obs.Category, r4.Concept("", r4.Coding(terms.SystemObservationCategory, nationalCategory, "")))
	if p.Words != "" && obs.ValueQuantity != nil {
		obs.ValueQuantity.Unit = &p.Words
	}
}

// partAside gives a coded part of an Observation as an extension of it.
func (w *writer) partAside(f *record.Fact) r4.Extension {
	m := measure.Get(f.Measure)
	return w.extensionConcept(partExtension(m.LocalCode(f.About.Kind, f.About.Key)), *w.coded(m.Values, f.Value.Code))
}
