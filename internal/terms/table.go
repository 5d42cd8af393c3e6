package terms

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
)

//go:embed *.tsv
var files embed.FS

// TableHash gives the SHA-256, in hex, of a table; it stands for its version.
func TableHash(file string) string {
	text, err := files.ReadFile(file)
	if err != nil {
		return "" // no such table
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// rows reads a table: lines that begin with # are remarks, the first other line
// names the columns, every line after it has one cell for each of them.
func rows(file string, columns ...string) ([][]string, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read the table %s: %w", file, err)
	}
	return parse(file, string(text), columns)
}

func parse(file, text string, columns []string) ([][]string, error) {
	var found [][]string
	header := false
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "\t")
		switch {
		case !header:
			if !slices.Equal(cells, columns) {
				return nil, fmt.Errorf("%s:%d: columns %q, wanted %q", file, number, cells, columns)
			}
			header = true
		case len(cells) != len(columns):
			return nil, fmt.Errorf("%s:%d: %d cells, wanted %d", file, number, len(cells), len(columns))
		default:
			found = append(found, cells)
		}
	}
	return found, nil
}
