package shape

import (
	"regexp"
	"strings"
	"testing"
)

// Sources of the right ones: RFC 2045 (section 5.1), RFC 9110 (section 8.3.1), IANA, and for
// the single words FHIR R4 (CapabilityStatement.format). Two of the wrong ones are official
// examples of R4.
func TestMediaTypesAreThoseOfTheirGrammar(t *testing.T) {
	for _, row := range []struct {
		text string
		want bool
	}{
		{"text/plain", true},
		{"application/fhir+json", true},
		{"application/vnd.openxmlformats-officedocument.wordprocessingml.document", true},
		{"Application/PDF", true},
		{"text/plain; charset=us-ascii", true},
		{`text/plain; charset="us-ascii"`, true},
		{"text/html;charset=UTF-8", true},
		{"text/html; charset=UTF-8; format=flowed", true},
		{"text/html ; charset=UTF-8", true},
		{`multipart/mixed; boundary="a b;c/d\"e"`, true},
		{"application/fhir+json; fhirVersion=4.0", true},
		{"xml", true}, {"json", true}, {"ttl", true},
		{"text", false}, {"pdf", false}, {"", false}, {"/", false}, {"text/", false}, {"/plain", false},
		{"text/plain/x", false}, {"text plain", false}, {"*/*", false}, {"text/*", false}, {".text/plain", false},
		{"text/plain;", false}, {"text/plain; charset", false}, {"text/plain; charset=", false}, {"text/plain; =x", false},
		{"text/plain; charset=us ascii", false}, {"text/plain; a=b c=d", false},
		{"application/dicom; variant=DICOM STOW-RS", false}, {"application/hl7-sda+xml; variant=XDA/XDS", false},
		{`text/plain; charset="us-ascii`, false}, {`text/plain; charset="us-ascii"x`, false}, {`text/plain; charset="a\`, false},
		{"text/plain, text/html", false}, {"text/plän", false}, {"text/plain; charset=ü", false},
	} {
		if isMediaType(row.text) != row.want {
			t.Errorf("%q: %v", row.text, !row.want)
		}
	}
}

// Sources of the right ones: RFC 5646, appendix A, and section 2.1, irregular and regular;
// of the first two wrong ones the end of that appendix, whose third repeats a part and is
// well-formed.
func TestTagsOfLanguagesAreThoseOfTheirGrammar(t *testing.T) {
	for _, row := range []struct {
		text string
		want bool
	}{
		{"de", true}, {"fr", true}, {"ja", true}, {"haw", true}, {"i-enochian", true}, {"zh-Hant", true}, {"sr-Cyrl", true},
		{"zh-cmn-Hans-CN", true}, {"cmn-Hans-CN", true}, {"zh-yue-HK", true}, {"yue-HK", true}, {"sr-Latn-RS", true},
		{"sl-rozaj", true}, {"sl-rozaj-biske", true}, {"sl-nedis", true}, {"de-CH-1901", true}, {"sl-IT-nedis", true},
		{"hy-Latn-IT-arevela", true}, {"de-DE", true}, {"en-US", true}, {"es-419", true}, {"de-CH-x-phonebk", true},
		{"az-Arab-x-AZE-derbend", true}, {"x-whatever", true}, {"qaa-Qaaa-QM-x-southern", true}, {"de-Qaaa", true},
		{"sr-Latn-QM", true}, {"en-US-u-islamcal", true}, {"zh-CN-a-myext-x-private", true}, {"en-a-myext-b-another", true},
		{"EN", true}, {"en-GB-oed", true}, {"sgn-BE-FR", true}, {"art-lojban", true}, {"zh-min-nan", true}, {"no-bok", true},
		{"abcd", false}, {"abcdefgh-Latn", false}, {"ar-a-aaa-b-bbb-a-ccc", true},
		{"de-419-DE", false}, {"a-DE", false},
		{"", false}, {"d", false}, {"i-none", false}, {"abcdefghi", false}, {"german", false}, {"german-language", false}, {"de-", false}, {"-de", false}, {"de--DE", false},
		{"de_DE", false}, {"d1", false}, {"x", false}, {"x-", false}, {"x-abcdefghi", false}, {"de-x", false}, {"en-u", false},
		{"en-a-b", false}, {"en-US-Latn", false}, {"de DE", false}, {"abcd-abc", false}, {"zh-aaa-bbb-ccc-ddd", false},
		{"dü", false}, {"no-such-code", false},
	} {
		if isLanguageTag(row.text) != row.want {
			t.Errorf("%q: %v", row.text, !row.want)
		}
	}
}

// What the package says of itself: nothing is allocated where all is right.
func TestTheGrammarsOfTextsAllocateNothing(t *testing.T) {
	for _, text := range []string{"de", "en-GB", "zh-cmn-Hans-CN", "de-CH-x-phonebk", "en-US-u-islamcal"} {
		if n := testing.AllocsPerRun(10, func() { isLanguageTag(text) }); n != 0 || !isLanguageTag(text) {
			t.Errorf("%s: %v allocations", text, n)
		}
	}
	for _, text := range []string{"application/pdf", "text/plain; charset=\"us-ascii\"; format=flowed"} {
		if n := testing.AllocsPerRun(10, func() { isMediaType(text) }); n != 0 || !isMediaType(text) {
			t.Errorf("%s: %v allocations", text, n)
		}
	}
}

func FuzzTagsOfLanguages(f *testing.F) {
	for _, text := range []string{"de-CH-1901", "x-whatever", "en-a-bbb-x-a", "i-enochian", "a-DE", "zh-aaa-bbb-ccc"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		ascii := !strings.ContainsFunc(text, func(c rune) bool { return c > '~' }) // K and s have further small forms
		if is := isLanguageTag(text); is != (ascii && languageTagPattern.MatchString(text)) {
			t.Errorf("%q: %v", text, is)
		}
	})
}

// languageTagPattern is the grammar of RFC 5646, section 2.1, written down a second time,
// without languages of four letters and more.
var languageTagPattern = regexp.MustCompile(`(?i)^(?:` +
	`[a-z]{2,3}(?:-[a-z]{3}){0,3}(?:-[a-z]{4})?(?:-(?:[a-z]{2}|[0-9]{3}))?(?:-(?:[a-z0-9]{5,8}|[0-9][a-z0-9]{3}))*` +
	`(?:-[0-9a-wyz](?:-[a-z0-9]{2,8})+)*(?:-x(?:-[a-z0-9]{1,8})+)?` +
	`|x(?:-[a-z0-9]{1,8})+` +
	`|en-GB-oed|i-ami|i-bnn|i-default|i-enochian|i-hak|i-klingon|i-lux|i-mingo|i-navajo|i-pwn|i-tao|i-tay|i-tsu|sgn-BE-FR|sgn-BE-NL|sgn-CH-DE)$`)
