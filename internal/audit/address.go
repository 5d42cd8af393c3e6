package audit

import (
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// addressDiffers: id, fullUrl and request of a session's resource, and of a device that
// it shares, follow from its business identifier. Otherwise a server would write over
// something else, or one more of the same.
func addressDiffers(c *check) {
	if !c.whole() {
		return
	}
	for _, r := range c.resources {
		ids := mapping.Identifiers(r.node)
		if len(ids) == 0 || !r.ours && (r.kind != "Device" || !mapping.IsShared(r4.Text(ids[0], "value"))) {
			continue
		}
		system, value := r4.Text(ids[0], "system"), r4.Text(ids[0], "value")
		c.judgeAddress(r, mapping.UUIDOf(system, value), mapping.Condition(system, value))
	}
}

func (c *check) judgeAddress(r *resource, uuid, condition string) {
	if id := r.node.Get("id"); id != nil && id.Text != uuid {
		c.say("address-differs", id, r.at("/id"), "the id is not that of this identity", "", "the UUID that follows from the identifier")
	}
	if url, isUUID := strings.CutPrefix(r.fullURL, "urn:uuid:"); isUUID && url != uuid {
		c.say("address-differs", r.entry.Get("fullUrl"), r.entryPointer()+"/fullUrl", "the fullUrl is not that of this identity", "", "the UUID that follows from the identifier")
	}
	request := r.entry.Get("request")
	if request == nil || asksFor(request, uuid, condition) {
		return
	}
	c.say("address-differs", request, r.entryPointer()+"/request", "the request is for another resource than the identifier names", "",
		"a search for the identifier, or the UUID that follows from it")
}

// asksFor tells whether a request names the resource of an identity: by id, by search,
// or to be created where the search finds none.
func asksFor(request *source.Node, uuid, condition string) bool {
	url := r4.Text(request, "url")
	path, query, search := strings.Cut(url, "?")
	switch r4.Text(request, "method") {
	case "POST":
		return strings.TrimPrefix(r4.Text(request, "ifNoneExist"), "?") == condition
	case "PUT":
		return search && query == condition || !search && strings.HasSuffix(path, "/"+uuid)
	}
	return false
}
