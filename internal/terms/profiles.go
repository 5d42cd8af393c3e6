package terms

import (
	"strings"
	"sync"
)

// Profile is a profile that others have published for values under one LOINC code.
type Profile struct {
	Set       string // the name under which a site asks for it and its companions
	LOINC     string // the one LOINC code of the Observation
	Canonical string
	Unit      string // UCUM code of the value
	Words     string // the text beside it, "" where any may stand
}

type profileTables struct {
	byCode      map[key]Profile // by set and LOINC code
	byCanonical map[string]Profile
}

var profiles = sync.OnceValues(readProfiles)

func readProfiles() (profileTables, error) {
	lines, err := rows("profiles.tsv", "set", "loinc", "canonical", "unit", "words")
	if err != nil {
		return profileTables{}, err
	}
	t := profileTables{map[key]Profile{}, map[string]Profile{}}
	for _, c := range lines {
		p := Profile{Set: c[0], LOINC: c[1], Canonical: c[2], Unit: c[3], Words: c[4]}
		t.byCode[key{p.Set, p.LOINC}] = p
		t.byCanonical[p.Canonical] = p
	}
	return t, nil
}

// ProfileFor gives the profile of a set for a LOINC code.
func ProfileFor(set, loinc string) (Profile, bool) {
	t, _ := profiles()
	p, ok := t.byCode[key{set, loinc}]
	return p, ok
}

// ProfileAt gives the profile of a canonical, with or without a version, and that
// version.
func ProfileAt(canonical string) (p Profile, version string, ok bool) {
	t, _ := profiles()
	canonical, version, _ = strings.Cut(canonical, "|")
	p, ok = t.byCanonical[canonical]
	return p, version, ok
}
