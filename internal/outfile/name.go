package outfile

import (
	"strings"

	"saltmark/internal/finding"
)

// MaxName is how many bytes a name of SafeName has at most, so that an ending and
// the marks of a temporary file still fit into the 255 bytes that file systems
// take.
const MaxName = 200

const hexDigits = "0123456789abcdef"

// SafeName makes a file name of an identifier, to which an ending such as ".json"
// may be added. Two different identifiers never give one name, also where the file
// system does not tell upper from lower case or changes the form of accented
// letters, for a name holds nothing but a-z, 0-9 and - . = _ and can be turned
// back:
//
//   - small letters, digits and - stand for themselves, as does a point between
//     two other characters;
//   - _ and a small letter is the capital letter, __ is _;
//   - = and two hexadecimal digits is any other byte, and also a - at the front, a
//     point at either end or behind a point, and the first letter of what would be
//     a device on Windows (con, nul, com1 and so on, with or without an ending).
//
// It refuses an empty identifier and one whose name would be longer than MaxName.
// Errors do not repeat the identifier.
func SafeName(id string) (string, error) {
	if id == "" {
		return "", finding.Refuse("the identifier is empty; it cannot name a file")
	}
	var name strings.Builder
	for i := range len(id) {
		c := id[i]
		switch {
		case i == 0 && isDevice(id):
			writeHex(&name, c)
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9', c == '-' && i > 0:
			name.WriteByte(c)
		case c == '.' && i > 0 && i < len(id)-1 && id[i-1] != '.':
			name.WriteByte(c)
		case 'A' <= c && c <= 'Z':
			name.WriteByte('_')
			name.WriteByte(c - 'A' + 'a')
		case c == '_':
			name.WriteString("__")
		default:
			writeHex(&name, c)
		}
	}
	if name.Len() > MaxName {
		return "", finding.Refuse("the identifier of {1} bytes would make a file name of {2}; at most {3} are allowed", finding.Number(len(id)), finding.Number(name.Len()), finding.Number(MaxName))
	}
	return name.String(), nil
}

func writeHex(to *strings.Builder, c byte) {
	to.WriteByte('=')
	to.WriteByte(hexDigits[c>>4])
	to.WriteByte(hexDigits[c&15])
}

// isDevice tells whether Windows would take the name for a device, whatever
// follows the first point. Names with capital letters or other characters are
// escaped anyhow.
//
// Source: Microsoft, 'Naming Files, Paths, and Namespaces' (from memory).
func isDevice(id string) bool {
	stem, _, _ := strings.Cut(id, ".")
	switch stem {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && '0' <= stem[3] && stem[3] <= '9'
}
