package main

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saltmark/internal/finding"
)

// standardInput is the argument that stands for it.
const standardInput = "-"

// input is one document that a command works on.
type input struct {
	name string // as shown: a path, or "-"
	path string // "" for standard input
	err  error  // why there is nothing to read, known before
}

// open begins the reading. An interrupt ends it.
func (in input) open(e *env) (io.ReadCloser, error) {
	switch {
	case in.err != nil:
		return nil, in.err
	case in.path == "":
		return interruptible(e.Context, e.Stdin), nil
	}
	f, err := openFile(e.Context, in.path)
	if err != nil {
		return nil, in.named(describe(cannotOpen, err))
	}
	if info, err := f.Stat(); err == nil && !info.Mode().IsRegular() && !info.IsDir() { // such as a pipe
		return interruptible(e.Context, f), nil
	}
	return f, nil
}

// openFile opens a file. Who opens a pipe waits for somebody to write into it; an
// interrupt ends that.
func openFile(ctx context.Context, path string) (*os.File, error) {
	if info, err := os.Stat(path); err != nil || info.Mode().IsRegular() || info.IsDir() {
		return os.Open(path)
	}
	type opening struct {
		file *os.File
		err  error
	}
	opened := make(chan opening, 1)
	go func() {
		f, err := os.Open(path)
		opened <- opening{f, err}
	}()
	select {
	case o := <-opened:
		return o.file, o.err
	case <-ctx.Done():
		return nil, &os.PathError{Op: "open", Path: path, Err: context.Cause(ctx)}
	}
}

// read gives the whole text, of at most limit bytes and one more.
func (in input) read(e *env, limit int) ([]byte, error) {
	r, err := in.open(e)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	text, err := readUpTo(r, limit)
	if err != nil {
		return nil, in.failed(err)
	}
	return text, nil
}

// failed says that the reading of the input failed.
func (in input) failed(err error) error {
	if in.path == "" {
		return failing("cannot read standard input: {2}", in.name, err)
	}
	if _, refused := refusalIn(err); refused {
		return failing(cannotRead, in.name, err)
	}
	return in.named(describe(cannotRead, err))
}

// readUpTo reads one byte more than the limit, so that the reader of the text
// sees that it is too long and says so.
func readUpTo(r io.Reader, limit int) ([]byte, error) { return readHinted(r, limit, 0) }

// readHinted does the same where the size is known in advance: memory is then taken
// once.
func readHinted(r io.Reader, limit int, size int64) ([]byte, error) {
	if size == 0 {
		return io.ReadAll(io.LimitReader(r, int64(limit)+1))
	}
	text := bytes.NewBuffer(make([]byte, 0, min(max(size, 0), int64(limit))+1+bytes.MinRead))
	_, err := text.ReadFrom(io.LimitReader(r, int64(limit)+1))
	return text.Bytes(), err
}

// interruptible reads from r until the context ends, also while r waits for
// somebody to type.
func interruptible(ctx context.Context, r io.Reader) io.ReadCloser {
	out, in := io.Pipe()
	go func() {
		_, err := io.Copy(in, r)
		in.CloseWithError(err)
	}()
	context.AfterFunc(ctx, func() { in.CloseWithError(context.Cause(ctx)) })
	return out
}

// inputs are the documents that the arguments of a command name. Of a folder only
// the names are held: there may be very many.
type inputs struct {
	groups []inputGroup
	count  int
	// baseNames shows of each file the last part of its name alone.
	baseNames bool
}

// inputGroup is what one argument names.
type inputGroup struct {
	one    input    // where names is empty
	folder string   // of the names
	names  []string // sorted
}

// inputsOf lists the documents that arguments name: files, folders (their own files
// with one of the endings, sorted by name, neither hidden ones nor those of folders
// below) and "-" for standard input. An argument that names nothing to read is one
// input that says so, for the others are worked on all the same.
func inputsOf(args []string, endings ...string) inputs {
	return listInputs(args, func(folder string) ([]string, error) { return documentNames(folder, endings) })
}

// documentEndings are those of files that hold FHIR resources.
var documentEndings = []string{".json", ".ndjson", ".jsonl", ".json.gz", ".ndjson.gz", ".jsonl.gz"}

// resourceInputs lists the files of FHIR resources that arguments name: of folders all
// that lie in them or below, sorted by path, archives among them.
func resourceInputs(args []string) inputs {
	endings := append(slices.Clone(documentEndings), archiveEndings...)
	return listInputs(args, func(folder string) ([]string, error) { return namesBelow(folder, endings) })
}

// listInputs lists what arguments name, folders by the names that namesOf finds in them.
func listInputs(args []string, namesOf func(folder string) ([]string, error)) inputs {
	var all inputs
	for _, arg := range args {
		g := groupOf(arg, namesOf)
		all.groups = append(all.groups, g)
		all.count += max(1, len(g.names))
	}
	return all
}

func groupOf(arg string, namesOf func(string) ([]string, error)) inputGroup {
	if arg == standardInput {
		return inputGroup{one: input{name: arg}}
	}
	one := input{name: arg, path: arg}
	info, err := os.Stat(arg)
	switch {
	case err != nil:
		one.err = describe(cannotOpen, err)
	case info.IsDir():
		names, err := namesOf(arg)
		if err == nil {
			return inputGroup{folder: arg, names: names}
		}
		one.err = err
	}
	return inputGroup{one: one}
}

// documentNames gives the names of a folder's documents, or the error that it has
// none.
func documentNames(folder string, endings []string) ([]string, error) {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return nil, describe(cannotReadFolder, err)
	}
	var names []string
	for _, entry := range entries {
		if isDocument(entry, endings) {
			names = append(names, entry.Name())
		}
	}
	return someNames(folder, names, endings)
}

func someNames(folder string, names, endings []string) ([]string, error) {
	if len(names) == 0 {
		return nil, &fileError{says: "the folder {1} holds no file that ends in {2}", name: folder, why: finding.Or(finding.Datas(endings)...)}
	}
	return slices.Clip(names), nil
}

// namesBelow does the same for a folder and all folders below it; hidden folders are
// left out, links to folders are not followed. A folder below that cannot be looked
// into stands among the names, so that this is told when its turn comes.
func namesBelow(folder string, endings []string) ([]string, error) {
	var names []string
	err := filepath.WalkDir(folder, func(name string, entry fs.DirEntry, err error) error {
		below, outside := filepath.Rel(folder, name)
		switch {
		case outside != nil:
			return outside
		case err != nil && below == ".":
			return err
		case err != nil:
			names = append(names, below)
		case entry.IsDir() && below != "." && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		case !entry.IsDir() && isDocument(entry, endings):
			names = append(names, below)
		}
		return nil
	})
	if err != nil {
		return nil, describe(cannotReadFolder, err)
	}
	return someNames(folder, names, endings)
}

// each gives the inputs in their order, with their numbers from nought.
func (all inputs) each() iter.Seq2[int, input] {
	return func(yield func(int, input) bool) {
		n := 0
		for _, g := range all.groups {
			for i := range max(1, len(g.names)) {
				in := g.at(i)
				if all.baseNames && in.path != "" {
					in.name = filepath.Base(in.path)
					in.err = in.named(in.err)
				}
				if !yield(n, in) {
					return
				}
				n++
			}
		}
	}
}

// documents gives the number of documents, 0 where a stream among the inputs may hold
// any number of them.
func (all inputs) documents() int {
	for _, in := range all.each() {
		if in.path == "" || isStream(in.path) || isArchive(in.path) {
			return 0
		}
	}
	return all.count
}

// namesIn gives the names of the inputs that are files of a folder.
func (all inputs) namesIn(folder string) map[string]bool {
	names := map[string]bool{}
	for _, g := range all.groups {
		switch {
		case g.folder != "" && sameFile(g.folder, folder):
			for _, name := range g.names {
				names[name] = true
			}
		case g.one.path != "" && sameFile(filepath.Dir(g.one.path), folder):
			names[filepath.Base(g.one.path)] = true
		}
	}
	return names
}

// name gives the name of the input of a number.
func (all inputs) name(n int) string {
	for i, in := range all.each() {
		if i == n {
			return in.name
		}
	}
	return ""
}

func (g inputGroup) at(i int) input {
	if len(g.names) == 0 {
		return g.one
	}
	path := filepath.Join(g.folder, g.names[i])
	return input{name: path, path: path}
}

func isDocument(entry os.DirEntry, endings []string) bool {
	ordinary := entry.Type().IsRegular() || entry.Type()&os.ModeSymlink != 0
	hidden := strings.HasPrefix(entry.Name(), ".")
	return ordinary && !hidden && slices.ContainsFunc(endings, func(ending string) bool { return hasEnding(entry.Name(), ending) })
}
