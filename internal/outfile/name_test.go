package outfile_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/outfile"

	"pgregory.net/rapid"
)

func TestANameSaysItsIdentifier(t *testing.T) {
	for id, want := range map[string]string{
		"s-2026-0001":  "s-2026-0001",
		"S-2026-0001":  "_s-2026-0001",
		"ward_3":       "ward__3",
		"ward/3":       "ward=2f3",
		`ward\3`:       "ward=5c3",
		"a b":          "a=20b",
		"a=b":          "a=3db",
		"a%2f":         "a=252f",
		"v1.2":         "v1.2",
		".":            "=2e",
		"..":           "=2e=2e",
		"../x":         "=2e=2e=2fx",
		"a..b":         "a.=2eb",
		".hidden":      "=2ehidden",
		"end.":         "end=2e",
		"-rf":          "=2drf",
		"é":            "=c3=a9",
		"e\u0301":      "e=cc=81",
		"\x00":         "=00",
		"\xff":         "=ff",
		"con":          "=63on",
		"con.json":     "=63on.json",
		"nul.tar.gz":   "=6eul.tar.gz",
		"CON":          "_c_o_n",
		"com1":         "=63om1",
		"lpt0":         "=6cpt0",
		"com10":        "com10",
		"console":      "console",
		"a:b":          "a=3ab",
		"urn:uuid:x":   "urn=3auuid=3ax",
		"line\nbreak":  "line=0abreak",
		"\u202Eevil":   "=e2=80=aeevil",
		"progra~1":     "progra=7e1",
		"trailing ":    "trailing=20",
		"aux.":         "=61ux=2e",
		"session*?<>|": "session=2a=3f=3c=3e=7c",
	} {
		if got, err := outfile.SafeName(id); got != want || err != nil {
			t.Errorf("%q: %q, %v; want %q", id, got, err, want)
		}
	}
}

// back turns a name into its identifier, by the description of SafeName alone.
func back(t *rapid.T, name string) string {
	var id strings.Builder
	for i := 0; i < len(name); i++ {
		switch name[i] {
		case '_':
			i++
			if name[i] == '_' {
				id.WriteByte('_')
				continue
			}
			id.WriteByte(name[i] - 'a' + 'A')
		case '=':
			n, err := strconv.ParseUint(name[i+1:i+3], 16, 8)
			if err != nil {
				t.Fatal(err)
			}
			id.WriteByte(byte(n))
			i += 2
		default:
			id.WriteByte(name[i])
		}
	}
	return id.String()
}

func drawID(t *rapid.T, label string) string {
	return rapid.OneOf(
		rapid.StringMatching(`[A-Za-z0-9._-]{1,24}`),
		rapid.StringMatching(`(?i:con|prn|aux|nul|com[0-9]|lpt[0-9])(\.[a-z.]{0,3})?`),
		rapid.StringN(1, 16, -1),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 1, 24), func(b []byte) string { return string(b) }),
	).Draw(t, label)
}

func TestANameCanBeTurnedBackSoNoTwoIdentifiersShareOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		id := drawID(t, "id")
		name, err := outfile.SafeName(id)
		if err != nil {
			t.Fatal(err)
		}
		if got := back(t, name); got != id {
			t.Fatalf("%q gives %q, which gives %q", id, name, got)
		}
		if name != strings.ToLower(name) {
			t.Fatalf("%q: a capital letter could meet a small one", name)
		}
	})
}

func TestANameIsGoodOnEveryFileSystem(t *testing.T) {
	safe := regexp.MustCompile(`^[a-z0-9=_]([a-z0-9=_.-]*[a-z0-9=_-])?$`)
	device := regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?$`)
	rapid.Check(t, func(t *rapid.T) {
		name, err := outfile.SafeName(drawID(t, "id"))
		if err != nil {
			t.Fatal(err)
		}
		if !safe.MatchString(name) || strings.Contains(name, "..") || device.MatchString(name) || len(name) > outfile.MaxName {
			t.Fatalf("%q", name)
		}
	})
}

func TestAnIdentifierWithoutANameIsRefusedWithoutShowingIt(t *testing.T) {
	if name, err := outfile.SafeName(strings.Repeat("a", outfile.MaxName)); err != nil {
		t.Errorf("the longest one: %q, %v", name, err)
	}
	for _, id := range []string{"", strings.Repeat("a", outfile.MaxName+1), strings.Repeat("Q", outfile.MaxName/2+1)} {
		if name, err := outfile.SafeName(id); err == nil {
			t.Errorf("%d bytes: %q, want an error", len(id), name)
		} else if strings.Contains(err.Error(), "aaa") || strings.Contains(err.Error(), "Q") {
			t.Errorf("the error shows the identifier: %v", err)
		}
	}
}
