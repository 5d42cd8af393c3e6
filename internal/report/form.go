package report

import (
	"fmt"
	"io"
	"strings"
)

// RunForm is a way to write the report of a run.
type RunForm struct {
	// Name is what a form is called before a file name ("junit:out.txt").
	Name string
	// Endings of file names that mean the form.
	Endings []string

	between string // what was written of two documents
	item    func(*Run, Item) ([]byte, error)
	write   func(*Run, io.Writer, End) error
}

// RunForms lists the ways: JSON with names of our own, JUnit XML, SARIF 2.1.0, and a
// page for people.
func RunForms() []RunForm {
	return []RunForm{
		{"json", []string{".json"}, ",\n", (*Run).jsonItem, (*Run).writeJSON},
		{"junit", []string{".xml"}, "", (*Run).testcase, (*Run).writeJUnit},
		{"sarif", []string{".sarif", ".sarif.json"}, ",\n", (*Run).sarifItem, (*Run).writeSARIF},
		{"html", []string{".html", ".htm"}, "", (*Run).pageItem, (*Run).writePage},
	}
}

// RunFormOf gives the form and the file that an argument names: FORM:FILE, or a FILE
// whose ending tells the form, the longest one where several fit.
func RunFormOf(argument string) (form RunForm, path string, err error) {
	longest := 0
	for _, f := range RunForms() {
		if rest, named := strings.CutPrefix(argument, f.Name+":"); named && rest != "" {
			return f, rest, nil
		}
		for _, ending := range f.Endings {
			if strings.HasSuffix(strings.ToLower(argument), ending) && len(ending) > longest {
				form, longest = f, len(ending)
			}
		}
	}
	if longest == 0 {
		return form, "", fmt.Errorf("a file that ends in %s is wanted, or one of the words %s and a colon before its name",
			orWords(RunEndings()), orWords(runFormNames()))
	}
	return form, argument, nil
}

// RunEndings gives the endings of file names that tell a form.
func RunEndings() []string {
	var endings []string
	for _, f := range RunForms() {
		endings = append(endings, f.Endings...)
	}
	return endings
}

func runFormNames() []string {
	var names []string
	for _, f := range RunForms() {
		names = append(names, f.Name)
	}
	return names
}

// orWords lists words in a sentence.
func orWords(words []string) string {
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
