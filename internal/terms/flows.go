package terms

import "sync"

var flows = sync.OnceValues(readFlows)

func readFlows() (map[key]string, error) {
	lines, err := rows("flows.tsv", "system", "code", "flow")
	if err != nil {
		return nil, err
	}
	m := map[key]string{}
	for _, c := range lines {
		m[key{c[0], c[1]}] = c[2]
	}
	return m, nil
}

// NamedFlow tells which flow the name of a published code claims for a number: "LVO"
// or "RVO"; "vessel" or "ratio" where it is the flow of one vessel or a ratio of two.
// ok is false for a code that names none, as far as the table goes.
func NamedFlow(system, code string) (flow string, ok bool) {
	m, _ := flows()
	flow, ok = m[key{system, code}]
	return flow, ok
}
