package audit

import (
	"maps"
	"slices"

	"saltmark/internal/finding"
)

// mostOfARule is how many findings of one rule about one document are told one by one:
// more tell nothing more, and a hostile document has as many as it likes.
const mostOfARule = 200

// enough tells whether a rule has said as much of the document as it may, and counts.
func (c *check) enough(rule string) bool {
	if c.told == nil {
		c.told = map[string]int{}
	}
	c.told[rule]++
	return c.told[rule] > mostOfARule
}

// tellRest tells how many findings were left out.
func (c *check) tellRest() {
	for _, rule := range slices.Sorted(maps.Keys(c.told)) {
		if left := c.told[rule] - mostOfARule; left > 0 {
			c.found = append(c.found, finding.New("more-findings", c.docs.Place(c.root(), ""),
				finding.Say("{1} more findings of the rule {2} were made", finding.Number(left), finding.Data(rule)), "", "they are not told one by one"))
		}
	}
}
