package source

// Limits bound what a text may cost, whoever wrote it. A field left at zero has
// the value it has for a sheet.
type Limits struct {
	// Bytes is the longest text. A longer one is not looked at.
	Bytes int
	// Depth is how many objects and arrays may lie inside one another.
	Depth int
	// Nodes is how many values a tree may hold, every alias counted with all that
	// it stands for.
	Nodes int
	// Keys is how many members all objects of a YAML text may have together. (The
	// YAML parser needs time and memory by the square of them.)
	Keys int
	// Members is how many members one object of a JSON text may have.
	Members int
	// KeyBytes is the longest name of a member.
	KeyBytes int
	// NumberChars is the longest number, all characters counted.
	NumberChars int
	// Exponent is the largest exponent of ten, of either sign, that may be written.
	Exponent int
	// Anchors and Aliases are how many of each a YAML text may have.
	Anchors, Aliases int
	// Findings is after how many faults the reading of a text is given up.
	Findings int
}

// SheetLimits are those of a text that a person writes: a session sheet or the
// settings of a site. YAML is never read with wider ones.
func SheetLimits() Limits {
	return Limits{
		Bytes:       1 << 20,
		Depth:       32,
		Nodes:       50_000,
		Keys:        5_000,
		Members:     5_000,
		KeyBytes:    256,
		NumberChars: 40,
		Exponent:    60,
		Anchors:     64,
		Aliases:     256,
		Findings:    100,
	}
}

// ResourceLimits are those of FHIR in JSON, written by a program. FHIR R4 sets no
// bounds of its own; these leave room for the largest of its official examples, which has
// 34 MiB, another 478,000 values (some 8,000 Observations), and no object more than 24
// members, and keep a document from taking more than some 150 MB (112 bytes a value).
// Exponents
// reach past those of IEEE 754 binary64 (-324 to 308): the standard's own example of
// decimals has 1.000000000000000000E-245.
func ResourceLimits() Limits {
	l := SheetLimits()
	l.Bytes = 34 << 20
	l.Depth = 64
	l.Nodes = 600_000
	l.Members = 1_000
	l.Exponent = 330
	return l
}

// orSheet fills in the fields that were left at zero.
func (l Limits) orSheet() Limits {
	sheet, mine := SheetLimits(), l
	for i, field := range mine.fields() {
		if *field <= 0 {
			*field = *sheet.fields()[i]
		}
	}
	return mine
}

// withinSheet takes the narrower of each field and that of a sheet.
func (l Limits) withinSheet() Limits {
	sheet, mine := SheetLimits(), l
	for i, field := range mine.fields() {
		*field = min(*field, *sheet.fields()[i])
	}
	return mine
}

func (l *Limits) fields() []*int {
	return []*int{
		&l.Bytes, &l.Depth, &l.Nodes, &l.Keys, &l.Members, &l.KeyBytes,
		&l.NumberChars, &l.Exponent, &l.Anchors, &l.Aliases, &l.Findings,
	}
}
