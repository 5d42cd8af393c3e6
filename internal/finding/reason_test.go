package finding

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
	"testing"

	"saltmark/internal/language"
)

func TestAReasonIsSaidInEachLanguageAndFound(t *testing.T) {
	err := fmt.Errorf("at the end: %w", Because(syscall.ENOSPC, "cannot write {1}: {2}", Quoted("a.json"), Reason(syscall.ENOSPC)))
	if !errors.Is(err, syscall.ENOSPC) {
		t.Error("the cause is not found")
	}
	if want := `cannot write "a.json": no space left on device`; Of(err).String() != want || err.Error() != "at the end: "+want {
		t.Errorf("%q", err)
	}
	if got, want := Of(err).In(language.German), `"a.json" lässt sich nicht schreiben: kein Platz mehr auf dem Datenträger`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for cause, want := range map[error]string{
		syscall.ENOENT: "gibt es nicht", syscall.EACCES: "keine Berechtigung", fs.ErrExist: "gibt es schon",
		errors.New("odd {1}"): "odd {1}", Refuse("permission denied"): "keine Berechtigung",
	} {
		if got := Reason(cause).In(language.German); got != want {
			t.Errorf("%v: %q, want %q", cause, got, want)
		}
	}
}
