package audit

import (
	"crypto/sha1"
	"encoding/base64"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// Bytes inside JSON. Source: FHIR R4 4.0.1, Attachment, Signature and base64Binary (CC0);
// RFC 4648, sections 3.5 and 4.

// attachmentNames are the members that hold an Attachment.
const attachmentNames = "photo presentedForm valueAttachment attachment content contentAttachment sourceAttachment image document"

// attachmentWithoutType (att-1): whoever gets bytes is told what they are.
func attachmentWithoutType(w *walk, _ string, n *source.Node) {
	if has(n, "data") && !has(n, "contentType") {
		w.report("attachment-without-type", n, "the attachment has data and no content type", "", "contentType, such as application/pdf")
	}
}

// attachmentDiffers: size and hash of an attachment are those of its data. The hash is the
// SHA-1 that FHIR R4 asks for.
func attachmentDiffers(w *walk, _ string, n *source.Node) {
	size, hash := n.Get("size"), n.Get("hash")
	if n.Get("data") == nil || size == nil && hash == nil {
		return
	}
	data, ok := bytesOf(r4.Text(n, "data"))
	if !ok {
		return // told as base64-unreadable
	}
	if size != nil && size.Text != strconv.Itoa(len(data)) {
		w.below("attachment-differs", n, "size", finding.Say("the size is said to be {}, the data have {1} bytes", finding.Number(len(data))), size.Text, "the size of the data")
	}
	if hash != nil && !isHashOf(hash.Text, data) {
		w.below("attachment-differs", n, "hash", "the hash is not that of the data", "", "the SHA-1 of the bytes that the data stand for, in base64")
	}
}

func isHashOf(hash string, data []byte) bool {
	is, ok := bytesOf(hash)
	sum := sha1.Sum(data)
	return ok && string(is) == string(sum[:])
}

// base64Names are the members that hold base64Binary; those of data and hash do where they
// stand in an Attachment or a Signature.
const base64Names = "data hash carrierAIDC valueBase64Binary"

// base64Unreadable: a text of base64 stands for bytes, and is the only text for them.
func base64Unreadable(w *walk, name string, holder, n *source.Node) {
	if n.Kind != source.String || name == "data" && has(holder, "dimensions") || name == "hash" && !w.isAttachment() {
		return
	}
	if _, ok := bytesOf(n.Text); !ok {
		w.report("base64-unreadable", n, finding.Say("{1} is no base64", finding.Data(name)), "", "letters, digits, + and /, in groups of four, the last filled up with =, and no bits beyond the last byte")
	}
}

func (w *walk) isAttachment() bool {
	name := w.holderName()
	for _, known := range strings.Fields(attachmentNames) {
		if name == known {
			return true
		}
	}
	return false
}

// bytesOf reads base64. White space is allowed between the characters.
func bytesOf(text string) ([]byte, bool) {
	if strings.ContainsAny(text, " \t\r\n") {
		text = strings.Join(strings.Fields(text), "")
	}
	data, err := base64.StdEncoding.Strict().DecodeString(text)
	return data, err == nil
}
