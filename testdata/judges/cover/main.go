// Command cover invents sessions so that every row of the table of flow labels is met in
// every status, form and write mode, writes what they are charted as, and counts what
// was covered from what was written, not from what was meant.
//
//	go run ./testdata/judges/cover FOLDER
//
// Everything is invented and says so. Same program, same bytes.
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/site"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: cover FOLDER")
		os.Exit(2)
	}
	if err := cover(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "cover:", err)
		os.Exit(1)
	}
}

// way is a form, with a mode where it is a transaction.
type way struct {
	name   string
	form   mapping.Form
	mode   mapping.Mode
	ending string
}

// ways gives every form, and every mode of the one that has modes.
func ways() []way {
	var all []way
	for _, form := range mapping.Forms() {
		switch form {
		case mapping.Transaction:
			for _, mode := range mapping.Modes() {
				all = append(all, way{string(mode), form, mode, ".json"})
			}
		case mapping.NDJSON:
			all = append(all, way{string(form), form, "", ".ndjson"})
		default:
			all = append(all, way{string(form), form, "", ".json"})
		}
	}
	return all
}

// session is one invented session in one way.
type session struct {
	row      row
	context  shunts
	standing standing
	way      way
	number   int // of the session: the same in every way
}

func (s session) id() string { return fmt.Sprintf("cover-%04d", s.number) }

func cover(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	counted := newCount(rows(), ways())
	for _, s := range sessions() {
		text, err := s.charted()
		if err != nil {
			return fmt.Errorf("%s (%s, %s, %s): %w", s.id(), s.context.name, s.standing.name, s.way.name, err)
		}
		if err := counted.add(s, text); err != nil {
			return fmt.Errorf("%s (%s, %s, %s): %w", s.id(), s.context.name, s.standing.name, s.way.name, err)
		}
		name := fmt.Sprintf("%s-%s-%s.%s%s", s.id(), s.context.name, s.standing.name, s.way.name, s.way.ending)
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			return err
		}
	}
	return counted.tell(os.Stdout)
}

// sessions gives every row in every standing and way that there can be, the contexts of
// a row in turns; each context is met once at least.
func sessions() []session {
	var all []session
	number := 0
	for _, r := range rows() {
		turn := 0
		for turn < len(r.contexts) || turn == 0 {
			for _, st := range standings {
				if !st.of(r) {
					continue
				}
				number++
				for _, w := range ways() {
					if w.mode != mapping.CreateOnce || st.name == "final" {
						all = append(all, session{r, r.contexts[turn%len(r.contexts)], st, w, number})
					}
				}
				turn++
			}
		}
	}
	return all
}

// charted gives the bytes of the last revision, each charted upon the one before.
func (s session) charted() ([]byte, error) {
	settings := *site.Demo()
	languages := measure.Languages()
	settings.Language = languages[s.number%len(languages)]
	var previous *record.Session
	o := chart.Options{
		Site: &settings, Software: mapping.Software{Name: "saltmark", Version: "cover"},
		Previous: func(string) (*record.Session, error) { return previous, nil },
		Form:     s.way.form, Mode: s.way.mode,
	}
	var text []byte
	for step, r := range s.standing.revisions {
		result := chart.Sheet(s.id()+".yaml", sheetOf(s.id(), s.number, s.context, step, r), o)
		if result.Bundle == nil {
			return nil, fmt.Errorf("revision %d: %v", step+1, result.Findings)
		}
		text = result.Bundle
		read, found := mapping.Read(s.id(), text)
		if found.HasErrors() {
			return nil, fmt.Errorf("revision %d: %v", step+1, found)
		}
		previous = read
	}
	if found := audit.CheckText(s.id(), text, s.way.form, audit.Options{}); len(found) > 0 {
		return nil, fmt.Errorf("the audit says: %v", found)
	}
	return text, nil
}
