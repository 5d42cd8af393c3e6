package report

// What a run rested on besides its documents, in JSON. The names are our own and stay.

type jsonSelection struct {
	Name         string            `json:"name"`
	SHA256       string            `json:"sha256"`
	Off          []string          `json:"off,omitempty"`
	Suppressions []jsonSuppression `json:"suppressions,omitempty"`
	Findings     []jsonFinding     `json:"findings,omitempty"`
}

type jsonSuppression struct {
	Name         string `json:"name"`
	Rule         string `json:"rule"`
	File         string `json:"file,omitempty"`
	At           string `json:"at,omitempty"`
	Reason       string `json:"reason"`
	By           string `json:"by,omitempty"`
	Until        string `json:"until,omitempty"`
	Accepted     int    `json:"accepted"`
	Acknowledged int    `json:"acknowledged"`
	Expired      int    `json:"expired"`
}

type jsonBaseline struct {
	Name      string     `json:"name"`
	SHA256    string     `json:"sha256"`
	New       int        `json:"new"`
	Remaining int        `json:"remaining"`
	Gone      []jsonGone `json:"gone"`
}

type jsonGone struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	File     string `json:"file,omitempty"`
	Pointer  string `json:"pointer,omitempty"`
}

type jsonUnchecked struct {
	Code  string `json:"code"`
	What  string `json:"what,omitempty"`
	Words string `json:"words"`
	Count int    `json:"count"`
}

func (r *Run) selectionInJSON(s *Selection) *jsonSelection {
	if s == nil {
		return nil
	}
	one := &jsonSelection{Name: s.Name, SHA256: s.SHA256, Off: s.Off}
	for _, line := range s.Suppressions {
		one.Suppressions = append(one.Suppressions, jsonSuppression(line))
	}
	for _, f := range s.Findings {
		one.Findings = append(one.Findings, jsonOf(f, Options{Language: r.head.Language}))
	}
	return one
}

func baselineInJSON(b *Baseline) *jsonBaseline {
	if b == nil {
		return nil
	}
	one := &jsonBaseline{Name: b.Name, SHA256: b.SHA256, New: b.New, Remaining: b.Remaining, Gone: []jsonGone{}}
	for _, g := range b.Gone {
		one.Gone = append(one.Gone, jsonGone(g))
	}
	return one
}

func (r *Run) uncheckedInJSON(list []Unchecked) []jsonUnchecked {
	var all []jsonUnchecked
	for _, u := range list {
		all = append(all, jsonUnchecked{u.Code, u.What, u.Words.In(r.head.Language), u.Count})
	}
	return all
}
