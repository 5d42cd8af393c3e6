package finding

// because is an error that is said in each language and has a cause.
type because struct {
	Problem
	cause error
}

// Unwrap gives what is said, for Of, and the cause.
func (b *because) Unwrap() []error { return []error{&b.Problem, b.cause} }

// Because is Refuse for an error with a cause, which errors.Is and errors.As find.
func Because(cause error, template Text, args ...Text) error {
	return &because{Problem{Say(template, args...)}, cause}
}

// reasons are what systems say most often of files. What is not here stays as it is.
var reasons = []Text{
	"no such file or directory", "permission denied", "is a directory", "not a directory", "too many levels of symbolic links",
	"input/output error", "file name too long", "stale file handle", "no space left on device", "file too large",
	"read-only file system", "disk quota exceeded", "file exists", "file already exists", "context canceled",
}

// Reason gives what an error of the system says.
func Reason(err error) Text {
	said := err.Error()
	for _, words := range reasons {
		if words.String() == said {
			return words
		}
	}
	return Of(err)
}
