package site

import (
	"cmp"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// firstWithLabel is the first version of the sheet that can say that its session is
// test data.
const firstWithLabel = 2

// Admit judges whether a session may be charted under these settings: test data
// under those of a test, patients under those of production. version is that of the
// sheet. One that is too old to carry the label takes it from the settings, and a
// finding says so.
func (t *Settings) Admit(s *record.Session, version int) finding.List {
	places := s.Places.Fields
	switch {
	case version < firstWithLabel:
		s.Test = t.Test
		return finding.List{finding.New("sheet-version-old", places["saltmark"], "the sheet is of an earlier version, which cannot say whether its session is test data", "",
			map[bool]finding.Text{true: "the settings say it: it is charted as test data", false: "the settings say it: it is charted as a patient's"}[t.Test])}
	case s.Test && !t.Test:
		return finding.List{finding.New("test-in-production", places["session.test"], "the sheet says that its session is test data, and these are the settings of production", "",
			"chart it under settings whose environment is test; if it is a patient's, take session.test out of the sheet")}
	case t.Test && !s.Test:
		return finding.List{finding.New("test-label-missing", cmp.Or(places["session.test"], places["session.id"]), "the sheet does not say that its session is test data, and these are the settings of a test", "",
			`if it is test data, write session.test: "yes"; if it is a patient's, chart it with --site and the settings of production`)}
	}
	return nil
}
