package shape

import (
	"crypto/sha256"
	"encoding/hex"
)

// Version is that of FHIR whose definitions the tables hold.
const Version = "4.0.1"

// TableHash gives the SHA-256, in hex, of the tables by which shapes are judged.
func TableHash() string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
