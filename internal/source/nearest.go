package source

import "strings"

// longestGuess is the longest name for which a near one is looked for.
const longestGuess = 64

// Nearest gives the allowed name that a wrong one most likely stands for. Names
// that differ in case, hyphens and underscores alone are the same; otherwise one
// edit (a letter put in, left out, changed, or exchanged with its neighbour) is
// forgiven in names of up to four letters, two in names of up to nine, three in
// longer ones. Of equally near names the first in the alphabet is given.
func Nearest(name string, allowed []string) (string, bool) {
	if len(name) > longestGuess {
		return "", false
	}
	wrong := letters(name)
	best, least := "", forgiven(len(wrong))+1
	for _, candidate := range allowed {
		d := distance(wrong, letters(candidate), least)
		if d < least || d == least && best != "" && candidate < best {
			best, least = candidate, d
		}
	}
	return best, best != ""
}

func forgiven(length int) int {
	switch {
	case length <= 1:
		return 0
	case length <= 4:
		return 1
	case length <= 9:
		return 2
	}
	return 3
}

// letters leaves out what people mix up without meaning another name.
func letters(name string) []rune {
	return []rune(joints.Replace(strings.ToLower(name)))
}

var joints = strings.NewReplacer("-", "", "_", "", " ", "")

// distance counts the edits between two names with exchanges of neighbours
// (optimal string alignment), or gives some number beyond limit.
func distance(a, b []rune, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	before := make([]int, len(b)+1) // two rows up
	above := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(above[j]+cost, above[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
