package sheet

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// Version is the version of the format that Write writes.
const Version = 2

// versions are all that Read reads. Version 2 brought session.test, by which a sheet
// says that its session is test data; a sheet of version 1 cannot say it, and the
// settings under which it is charted do.
var versions = []int{1, 2}

// Versions gives every version that Read reads.
func Versions() []int { return slices.Clone(versions) }

// newKeys are the keys that a later version brought, by their dotted path.
var newKeys = []struct {
	path  string
	since int
}{
	{"session.test", 2},
}

// VersionOf gives the version of the format that a sheet says it is written in, 0
// where it says none that is read.
func VersionOf(doc *source.Document) int {
	if doc == nil || doc.Root == nil {
		return 0
	}
	n := doc.Root.Get("saltmark")
	if n == nil || n.Kind != source.Number {
		return 0
	}
	i := slices.IndexFunc(versions, func(v int) bool { return strconv.Itoa(v) == n.Text })
	if i < 0 {
		return 0
	}
	return versions[i]
}

// versionsRead names the versions that are read.
func versionsRead() finding.Text {
	var all []finding.Text
	for _, v := range versions {
		all = append(all, finding.Number(v))
	}
	return finding.Say("this program reads the versions {1} of the session sheet", finding.And(all...))
}

// checkVersion finds keys that the version of the sheet does not have yet: who reads
// the sheet by its own version would pass over them.
func (r *reader) checkVersion() {
	version := VersionOf(r.doc)
	if version == 0 {
		return // said at the key
	}
	r.s.Places.Fields["saltmark"] = r.doc.Place(r.doc.Root.Get("saltmark"), "/saltmark")
	for _, key := range newKeys {
		pointer := "/" + strings.ReplaceAll(key.path, ".", "/")
		if n := r.doc.Find(pointer); n != nil && version < key.since {
			r.add("sheet-version", n, pointer, finding.Say("{1} stands in a sheet of version {}", finding.Data(key.path)), strconv.Itoa(version), finding.Say("it is a key of version {1} on; write saltmark: {2}", finding.Number(key.since), finding.Number(Version)))
		}
	}
}
