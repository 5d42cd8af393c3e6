package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"

	"saltmark/mapping/measure"
)

// Hash gives the SHA-256, in hex, of the canonical form: two files that decide the
// same have the same, whatever their order, comments, notation and version.
func (t *Settings) Hash() string { return hashOf(t.Canonical()) }

// Canonical gives every decision that is in force, those by default among them and
// the approval not, one on a line: its path, its value and its source, the last two
// quoted.
func (t *Settings) Canonical() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "saltmark-site %d\n", Version)
	for _, d := range t.Decisions() {
		b.WriteString(d.Path + " " + strconv.Quote(d.Value) + " " + strconv.Quote(d.Source) + "\n")
	}
	return b.Bytes()
}

// ApprovalHash gives the SHA-256, in hex, of what somebody approves: the canonical
// form and the table of measures, by which these decisions take effect.
func (t *Settings) ApprovalHash() string {
	return hashOf(append(t.Canonical(), "table of measures "+measure.TableHash()+"\n"...))
}

func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
