package derive

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// LabelIn gives the label of a dilution flow in a session as it was derived.
func LabelIn(s *record.Session) measure.Label {
	return newWork(s, s.Facts).rule().verdict.Label
}

// WithheldIn gives the reason for which a session's shunts, or the tip of its catheter,
// withhold values of a measure, computed ones too; "" where they may be shown.
func WithheldIn(s *record.Session, key string) string {
	return newWork(s, s.Facts).withheldFact(&record.Fact{Ref: record.Ref{Measure: key}})
}
