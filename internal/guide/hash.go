package guide

import (
	"crypto/sha256"
	"encoding/hex"
)

// Hash is the SHA-256 of all definitions as they are below the default base, without
// examples and pages, in hex; "" where they could not be made.
func Hash() string {
	resources, err := newMaker(Options{}).resources()
	if err != nil {
		return ""
	}
	h := sha256.New()
	for _, r := range resources {
		h.Write(r.encode())
	}
	return hex.EncodeToString(h.Sum(nil))
}
