package mapping

import (
	"fmt"
	"slices"
	"strings"
)

// Reference modes of subject and encounter.
var (
	subjectModes   = []ReferenceMode{Search, Logical, Literal}
	encounterModes = []ReferenceMode{Search, Logical, Literal, None}
)

// Check tells which options there are not, or which two contradict each other. An
// option that is left open contradicts none.
func (o Options) Check() error {
	form := o.Form
	if form == "" {
		form = Transaction
	}
	row := rowOfForm(form)
	switch {
	case row == nil:
		return fmt.Errorf("there is no form %q; these are written: %s", string(form), namesOf(Forms()))
	case o.Mode != "" && rowOfMode(o.Mode) == nil:
		return fmt.Errorf("there is no mode %q; these are: %s", string(o.Mode), namesOf(Modes()))
	case o.Subject != "" && !slices.Contains(subjectModes, o.Subject):
		return fmt.Errorf("the subject cannot be %q; these are: %s", string(o.Subject), namesOf(subjectModes))
	case o.Encounter != "" && !slices.Contains(encounterModes, o.Encounter):
		return fmt.Errorf("the encounter cannot be %q; these are: %s", string(o.Encounter), namesOf(encounterModes))
	case row.requests:
		return nil
	case o.Mode != "" && o.Mode != Conditional:
		return fmt.Errorf("the mode %s contradicts the form %s: only a transaction asks a server to write", o.Mode, form)
	}
	for _, of := range []struct {
		what string
		mode ReferenceMode
	}{{"subject", o.Subject}, {"encounter", o.Encounter}} {
		if of.mode == Search {
			return fmt.Errorf("the %s %s contradicts the form %s: FHIR R4 allows a search as reference in transactions only", of.what, of.mode, form)
		}
	}
	return nil
}

func namesOf[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, word := range list {
		words[i] = string(word)
	}
	return strings.Join(words, ", ")
}

// In gives the options for another form. What only a transaction can have, a mode or
// a search, falls back to what goes without saying.
func (o Options) In(form Form) Options {
	o.Form = form
	if row := rowOfForm(form); row == nil || row.requests {
		return o
	}
	o.Mode = ""
	for _, mode := range []*ReferenceMode{&o.Subject, &o.Encounter} {
		if *mode == Search {
			*mode = ""
		}
	}
	return o
}
