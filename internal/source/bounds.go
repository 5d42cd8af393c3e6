package source

import "fmt"

func tooManyValues(limit int) fault {
	return fault{
		rule:    "too-many-values",
		found:   fmt.Sprintf("the text holds more than %d values", limit),
		allowed: fmt.Sprintf("at most %d values", limit),
	}
}

func tooManyKeys(limit int) fault {
	return fault{
		rule:    "too-many-values",
		found:   fmt.Sprintf("the text holds more than %d keys", limit),
		allowed: fmt.Sprintf("at most %d keys", limit),
	}
}

func tooDeep(limit int) fault {
	return fault{
		rule:    "nesting",
		found:   fmt.Sprintf("objects and lists lie more than %d deep in one another", limit),
		allowed: fmt.Sprintf("at most %d levels", limit),
	}
}

func (l Limits) keyTooLong(name string) (fault, bool) {
	if len(name) <= l.KeyBytes {
		return fault{}, false
	}
	return fault{
		rule:    "key-size",
		found:   fmt.Sprintf("a key has %d bytes", len(name)),
		allowed: fmt.Sprintf("at most %d bytes", l.KeyBytes),
	}, true
}

func tooManyAnchors(what string, limit int) fault {
	return fault{
		rule:    "anchor",
		found:   fmt.Sprintf("the text holds more than %d %s", limit, what),
		allowed: fmt.Sprintf("at most %d %s", limit, what),
	}
}
