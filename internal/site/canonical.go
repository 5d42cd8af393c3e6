package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/sheet"
	"saltmark/mapping/record"
)

// Hash gives the SHA-256, in hex, of the canonical form: two files that decide the
// same have the same, whatever their order, comments and notation.
func (t *Settings) Hash() string {
	sum := sha256.Sum256(t.Canonical())
	return hex.EncodeToString(sum[:])
}

// Canonical gives every decision that is in force, those by default among them,
// one on a line: its path, its value and its source, each quoted; lines sorted.
func (t *Settings) Canonical() []byte {
	var lines []string
	add := func(path, value, source string) {
		lines = append(lines, path+" "+strconv.Quote(value)+" "+strconv.Quote(source))
	}
	add("name", t.Name, "")
	add("test-data", strconv.FormatBool(t.Test), "")
	add("base", t.Base, "")
	add("write.injections", string(t.Injections), "")
	add("write.comparators", strconv.FormatBool(t.Comparators), "")
	if t.SNOMED { // no line while it is off: what was approved before there was such a switch stays so
		add("write.snomed", "true", "")
	}
	for key, codings := range t.Codings {
		for _, c := range codings {
			add(codingPath(key, c), codingText(c), "")
		}
	}
	add("language", t.Language.Code(), "")
	add("verifier-may-be-operator", strconv.FormatBool(t.VerifierMayBeOperator), "")
	for name, system := range map[string]string{
		"session": t.Systems.Session, "device": t.Systems.Device, "person": t.Systems.Person,
		"patient": t.Systems.Patient, "encounter": t.Systems.Encounter, "order": t.Systems.Order,
	} {
		add("systems."+name, system, "")
	}
	for section, devices := range map[string]map[string]Device{"monitors": t.Monitors, "loops": t.Loops} {
		for name, d := range devices {
			path := section + "." + name + "."
			add(path+"model", d.Model, "")
			add(path+"serial", d.Serial, "")
			for key, v := range d.Values {
				add(path+key, valueText(v), "")
			}
		}
	}
	for key, supplies := range t.Supplies {
		for _, s := range supplies {
			add(fmt.Sprintf("supplies.%s.%06d.%s", key, s.FromDays, s.Sex), valueText(s.Value), s.Source)
		}
	}
	for _, r := range append(append([]sheet.Range(nil), t.Ranges...), t.Load...) {
		add(fmt.Sprintf("ranges.%s.%s.%06d", r.Rule, r.Of+"/"+strings.Join(r.By, "/"), r.FromDays),
			strings.Join([]string{r.HardLow, r.Low, r.High, r.HardHigh, r.UnitOf(), strconv.Itoa(r.ToDays)}, " "), r.Source)
	}
	slices.Sort(lines)
	var b bytes.Buffer
	fmt.Fprintf(&b, "saltmark-site %d\n", Version)
	for _, line := range lines {
		b.WriteString(line + "\n")
	}
	return b.Bytes()
}

func valueText(v record.Value) string {
	if v.Quantity.Number != "" {
		return v.Quantity.String()
	}
	return v.Code + v.Text + string(v.Time)
}
