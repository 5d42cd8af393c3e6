package source

import "saltmark/internal/finding"

func tooManyValues(limit int) fault {
	return fault{
		rule:    "too-many-values",
		found:   finding.Say("the text holds more than {1} values", finding.Number(limit)),
		allowed: finding.Say("at most {1} values", finding.Number(limit)),
	}
}

func tooManyKeys(limit int) fault {
	return fault{
		rule:    "too-many-values",
		found:   finding.Say("the text holds more than {1} keys", finding.Number(limit)),
		allowed: finding.Say("at most {1} keys", finding.Number(limit)),
	}
}

func tooManyMembers(limit int) fault {
	return fault{
		rule:    "too-many-values",
		found:   finding.Say("an object has more than {1} members", finding.Number(limit)),
		allowed: finding.Say("at most {1} members", finding.Number(limit)),
	}
}

func tooDeep(limit int) fault {
	return fault{
		rule:    "nesting",
		found:   finding.Say("objects and lists lie more than {1} deep in one another", finding.Number(limit)),
		allowed: finding.Say("at most {1} levels", finding.Number(limit)),
	}
}

func (l Limits) keyTooLong(name string) (fault, bool) {
	if len(name) <= l.KeyBytes {
		return fault{}, false
	}
	return fault{
		rule:    "key-size",
		found:   finding.Say("a key has {1} bytes", finding.Number(len(name))),
		allowed: finding.Say("at most {1} bytes", finding.Number(l.KeyBytes)),
	}, true
}

func tooManyAnchors(what finding.Text, limit int) fault {
	return fault{
		rule:    "anchor",
		found:   finding.Say("the text holds more than {1} {2}", finding.Number(limit), what),
		allowed: finding.Say("at most {1} {2}", finding.Number(limit), what),
	}
}
