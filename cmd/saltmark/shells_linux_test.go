package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// shellOf gives the path of a shell. Where it is missing the test is skipped, unless
// SALTMARK_SHELLS wants all (.ci/run installs them).
func shellOf(t *testing.T, name string, needs ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	for _, file := range needs {
		if err == nil {
			_, err = os.Stat(file)
		}
	}
	switch {
	case err == nil:
		return path
	case os.Getenv("SALTMARK_SHELLS") != "":
		t.Fatal(err)
	}
	t.Skipf("%s cannot be tried: %v", name, err)
	return ""
}

// tries are what is typed before the key of completion, and what must be offered.
var tries = []struct {
	typed []string
	want  []string
}{
	{[]string{"ch"}, []string{"chart"}},
	{[]string{"chart", "--findings", ""}, []string{"text", "json", "json-lines", "operation-outcome"}},
	{[]string{"chart", "--fin"}, []string{"--findings"}},
	{[]string{"audit", "--fail-on", "w"}, []string{"warning"}},
	{[]string{"help", "expl"}, []string{"explain"}},
	{[]string{"explain", "unit-mis"}, []string{"unit-missing"}},
	{[]string{"chart", "ward/"}, []string{"ward/sheet.yaml", "ward/bundle.json", "ward/old"}},
	{[]string{"audit", "ward/"}, []string{"ward/bundle.json", "ward/old"}},
	{[]string{"chart", "--out", "ward/"}, []string{"ward/old"}},
	{[]string{"chart", "--report", "ward/"}, []string{"ward/bundle.json", "ward/run.xml", "ward/old"}},
}

// shellDesk gives a folder with files to complete.
func shellDesk(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.MkdirAll(filepath.Join(folder, "ward", "old"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"sheet.yaml", "bundle.json", "run.xml", "notes.txt"} {
		if err := os.WriteFile(filepath.Join(folder, "ward", name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// offered gives the words that a shell offers, without what it adds to them.
func offered(t *testing.T, shell, folder, script string, typed []string) []string {
	t.Helper()
	cmd := exec.Command(shell, append([]string{"-c", script, "saltmark"}, typed...)...)
	cmd.Dir = folder
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%q: %v", typed, err)
	}
	var words []string
	for line := range strings.Lines(string(out)) {
		word, _, _ := strings.Cut(strings.TrimSpace(line), "\t")
		if word = strings.TrimSuffix(word, "/"); word != "" {
			words = append(words, word)
		}
	}
	return words
}

func sameWords(got, want []string) bool {
	seen := map[string]int{}
	for _, w := range got {
		seen[w]++
	}
	for _, w := range want {
		seen[w]--
	}
	for _, n := range seen {
		if n != 0 {
			return false
		}
	}
	return true
}

const bashCompletion = "/usr/share/bash-completion/bash_completion"

func TestShellBashCompletes(t *testing.T) {
	shell, folder := shellOf(t, "bash", bashCompletion), shellDesk(t)
	script := `source ` + bashCompletion + `; source <(saltmark completion bash)
COMP_WORDS=(saltmark "$@"); COMP_CWORD=$#; COMP_LINE="${COMP_WORDS[*]}"; COMP_POINT=${#COMP_LINE}; COMP_TYPE=9
compopt() { :; }
__start_saltmark
printf '%s\n' "${COMPREPLY[@]}"`
	for _, c := range tries {
		// A name that completes a whole line loses its description; ours have none there.
		if got := offered(t, shell, folder, script, c.typed); !sameWords(got, c.want) {
			t.Errorf("saltmark %q: %q, want %q", c.typed, got, c.want)
		}
	}
}

// fish offers every file where a program names endings, those with the endings first.
func TestShellFishCompletes(t *testing.T) {
	shell, folder := shellOf(t, "fish"), shellDesk(t)
	for _, c := range tries[:6] {
		script := `saltmark completion fish | source; complete -C "saltmark ` + strings.Join(c.typed, " ") + `"`
		if got := offered(t, shell, folder, script, nil); !sameWords(got, c.want) {
			t.Errorf("saltmark %q: %q, want %q", c.typed, got, c.want)
		}
	}
}

// zsh completes at its own prompt only, so somebody types there.
func TestShellZshCompletes(t *testing.T) {
	shell, folder := shellOf(t, "zsh"), shellDesk(t)
	outer, inner := newTerminal(t, 200)
	cmd := exec.Command(shell, "-f", "-i")
	cmd.Dir, cmd.Env = folder, append(os.Environ(), "TERM=dumb", "PS1=> ", "HOME="+folder)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = inner, inner, inner
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	inner.Close()
	defer cmd.Wait()
	defer cmd.Process.Kill()
	said := make(chan string, 1)
	go func() {
		var b bytes.Buffer
		part := make([]byte, 4096)
		for !bytes.Contains(b.Bytes(), []byte("\nall done")) {
			n, err := outer.Read(part)
			if b.Write(part[:n]); err != nil {
				break
			}
		}
		said <- b.String()
	}()
	for _, line := range []string{
		"autoload -Uz compinit; compinit -u -D",
		"source <(saltmark completion zsh)",
		`saltmark() { if [[ $1 == __complete* ]]; then command saltmark "$@"; else print -r -- "typed<$*>"; fi }`,
		"saltmark char\t--findi\toper\t",
		"saltmark chart ward/s\t",
		"saltmark audit --repo\tward/r\tward/b\t",
		"print all done",
	} {
		if _, err := outer.WriteString(line + "\n"); err != nil {
			t.Fatal(err)
		}
	}
	select {
	case text := <-said:
		for _, want := range []string{"typed<chart --findings operation-outcome>", "typed<chart ward/sheet.yaml>", "typed<audit --report ward/run.xml ward/bundle.json>"} {
			if !strings.Contains(text, want) {
				t.Errorf("no %q in %s", want, text)
			}
		}
	case <-time.After(patience):
		t.Error("zsh does not come to its end")
	}
}
