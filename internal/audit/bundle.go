package audit

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// entries applies the rules to each entry of the bundle.
func (c *check) entries() {
	for _, e := range c.entriesOf() {
		for _, rule := range entryRules {
			if !c.off[rule.id] {
				rule.judge(c, e)
			}
		}
	}
}

// entriesOf gives every entry of the bundle, those without a resource too.
func (c *check) entriesOf() []*resource {
	byEntry := make(map[*source.Node]*resource, len(c.resources))
	for _, r := range c.resources {
		byEntry[r.entry] = r
	}
	items := r4.Items(c.bundle.node, "entry")
	all := make([]*resource, len(items))
	for i, e := range items {
		if all[i] = byEntry[e]; all[i] == nil {
			all[i] = &resource{entry: e, pointer: "/entry/" + strconv.Itoa(i) + "/resource", fullURL: r4.Text(e, "fullUrl")}
		}
	}
	return all
}

// documentForm (bdl-9, bdl-10, bdl-11): a document has an identifier and a time,
// and begins with its Composition.
func documentForm(c *check) {
	if c.kind != "document" {
		return
	}
	root, entries := c.bundle.node, r4.Items(c.bundle.node, "entry")
	id := root.Get("identifier")
	if r4.Text(id, "system") == "" || r4.Text(id, "value") == "" {
		c.say("document-form", root, "", "the document has no identifier with system and value", "", "a document is known by one")
	}
	if root.Get("timestamp") == nil {
		c.say("document-form", root, "", "the document has no timestamp", "", "a document says when it was put together")
	}
	if len(entries) == 0 || r4.Text(entries[0].Get("resource"), "resourceType") != "Composition" {
		c.say("document-form", root, "/entry/0", "the document does not begin with a Composition", "", "the first entry of a document is its Composition")
	}
}

// entryEmpty (bdl-5): an entry holds a resource, or asks or answers something.
func entryEmpty(c *check, e *resource) {
	if e.entry.Get("resource") == nil && e.entry.Get("request") == nil && e.entry.Get("response") == nil {
		c.say("entry-empty", e.entry, e.entryPointer(), "the entry holds nothing", "", "a resource, a request or a response")
	}
}

// entryPartForbidden (bdl-2, bdl-4): only results of a search say why they were
// found, and only answers and histories answer.
func entryPartForbidden(c *check, e *resource) {
	for _, of := range partKinds {
		if part := e.entry.Get(of.member); part != nil && !slices.Contains(of.kinds, c.kind) {
			c.say("entry-part-forbidden", part, e.entryPointer()+"/"+of.member, finding.Say("the entry has a {1}", finding.Data(of.member)), "", finding.Say("only in a bundle of type {1}", finding.Data(strings.Join(of.kinds, ", "))))
		}
	}
}

// partKinds are the types of the bundles in which an entry may have a part.
var partKinds = []struct {
	member string
	kinds  []string
}{
	{"search", []string{"searchset"}},
	{"response", []string{"batch-response", "transaction-response", "history"}},
}

// fullURLMissing: a resource in a bundle has an address by which others refer to
// it; what is to be created by POST need not, nor what is said of a search and not found
// by it.
func fullURLMissing(c *check, e *resource) {
	if !slices.Contains([]string{"transaction", "document", "collection", "message", "searchset", "history"}, c.kind) || e.kind == "OperationOutcome" || e.kind == "Parameters" {
		return
	}
	if e.kind != "" && e.fullURL == "" && r4.Text(e.entry.Get("request"), "method") != "POST" {
		c.say("full-url-missing", e.entry, e.entryPointer(), "the entry has no fullUrl", "", "an absolute address or urn:uuid")
	}
}

// fullURLTwice (bdl-7): an address stands for one entry, or for one version each.
func fullURLTwice(c *check) {
	if c.kind == "history" {
		return
	}
	seen := make(map[[2]string]bool, len(c.resources))
	for _, r := range c.resources {
		key := [2]string{r.fullURL, r4.Text(r.node.Get("meta"), "versionId")}
		if r.fullURL != "" && seen[key] {
			c.say("full-url-twice", r.entry.Get("fullUrl"), r.entryPointer()+"/fullUrl", "a second entry has this fullUrl", "", "one entry for an address")
		}
		seen[key] = true
	}
}

// fullURLForm (bdl-8): the address is absolute and of no single version; a UUID has
// its form.
func fullURLForm(c *check, e *resource) {
	if e.fullURL == "" {
		return
	}
	var found finding.Text
	uuid, isUUID := strings.CutPrefix(e.fullURL, "urn:uuid:")
	scheme, rest, absolute := strings.Cut(e.fullURL, ":")
	switch {
	case isUUID && !isUUIDText(uuid):
		found = "the fullUrl is no UUID"
	case !absolute || rest == "" || strings.ContainsAny(scheme, "/?#"):
		found = "the fullUrl is not absolute"
	case strings.Contains(e.fullURL, "/_history/"):
		found = "the fullUrl is that of one version"
	default:
		return
	}
	c.say("full-url-form", e.entry.Get("fullUrl"), e.entryPointer()+"/fullUrl", found, "", "an absolute address without a version, or urn:uuid: with a UUID")
}

func isUUIDText(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i := range len(s) {
		hyphen := i == 8 || i == 13 || i == 18 || i == 23
		if hyphen != (s[i] == '-') || !hyphen && !isHex(s[i]) {
			return false
		}
	}
	return true
}

// fullURLID: an address that is no urn ends in type and id of its resource. What is to be
// created has no id yet.
func fullURLID(c *check, e *resource) {
	id := r4.Text(e.entry.Get("resource"), "id")
	if e.kind == "" || !strings.Contains(e.fullURL, "/") || strings.HasPrefix(e.fullURL, "urn:") {
		return
	}
	if id == "" {
		if strings.Contains(e.fullURL, "/"+e.kind+"/") && r4.Text(e.entry.Get("request"), "method") != "POST" && e.entry.Get("resource").Get("_id") == nil {
			c.say("full-url-id", e.entry.Get("fullUrl"), e.entryPointer()+"/fullUrl", "the fullUrl is that of a resource with an id, and the resource has none", "", "address and id say the same")
		}
		return
	}
	above, ends := strings.CutSuffix(e.fullURL, "/"+id)
	kind := above[strings.LastIndexByte(above, '/')+1:]
	switch {
	case !ends:
		c.say("full-url-id", e.entry.Get("fullUrl"), e.entryPointer()+"/fullUrl", "the fullUrl does not end in the id of the resource", "", "address and id say the same")
	case shape.IsResource(kind) && kind != e.kind:
		c.say("full-url-id", e.entry.Get("fullUrl"), e.entryPointer()+"/fullUrl", finding.Say("the fullUrl is that of a {1}", finding.Data(kind)), "", finding.Say("the resource is of type {1}", finding.Data(e.kind)))
	}
}

// requestMissing (bdl-3): an entry of a transaction or batch says what to do, one of a
// history what was done.
func requestMissing(c *check, e *resource) {
	if (c.writing() || c.kind == "history") && e.entry.Get("request") == nil {
		c.say("request-missing", e.entry, e.entryPointer(), "the entry has no request", "", finding.Say("a {1} says for each entry what to do", finding.Data(c.kind)))
	}
}

// requestForbidden (bdl-3): only a transaction, batch or history asks.
func requestForbidden(c *check) {
	if c.bundle == nil || c.writing() || c.kind == "history" {
		return
	}
	var first *source.Node
	at, count := 0, 0
	for i, e := range r4.Items(c.bundle.node, "entry") {
		if request := e.Get("request"); request != nil {
			if count++; count == 1 {
				first, at = request, i
			}
		}
	}
	if count > 0 {
		c.say("request-forbidden", first, "/entry/"+strconv.Itoa(at)+"/request", finding.Say("entries with a request: {1}", finding.Number(count)), "", "only a transaction, batch or history has requests")
	}
}

// requestType: what is written is of the type that the request names. An operation
// takes what it likes.
func requestType(c *check, e *resource) {
	request := e.entry.Get("request")
	url, method := r4.Text(request, "url"), r4.Text(request, "method")
	if !c.writing() || e.kind == "" || method != "PUT" && method != "POST" || strings.Contains(url, "$") {
		return
	}
	if kind := shape.TypeIn(url); kind != e.kind {
		var found finding.Text = "the request names no type"
		if kind != "" {
			found = "the request is for {}"
		}
		c.say("request-type", request.Get("url"), e.entryPointer()+"/request/url", found, kind, finding.Say("the resource is of type {1}", finding.Data(e.kind)))
	}
}

// conditionTwice: a condition chooses one resource, so it stands once; servers
// drop one of two without a word.
func conditionTwice(c *check) {
	if !c.writing() {
		return
	}
	seen := make(map[[3]string]bool, len(c.resources))
	for _, r := range c.resources {
		q := r.entry.Get("request")
		key := [3]string{r.kind, r4.Text(q, "url"), r4.Text(q, "ifNoneExist")}
		if !strings.Contains(key[1], "?") && key[2] == "" && r4.Text(q, "method") != "PUT" {
			continue
		}
		if seen[key] {
			c.say("condition-twice", q, r.entryPointer()+"/request", "a second entry has this condition", "", "each condition once")
		}
		seen[key] = true
	}
}

// identityTwice: two resources of a type have one of our business identifiers.
// Versions in a history do. Of identifiers of others we know nothing.
func identityTwice(c *check) {
	if c.kind == "history" {
		return
	}
	seen := make(map[[3]string]bool, len(c.resources))
	for _, r := range c.resources {
		for i, id := range mapping.Identifiers(r.node) {
			if !r.ours || !isOurs(r4.Text(id, "value"), r.kind) {
				continue
			}
			key := [3]string{r.kind, r4.Text(id, "system"), r4.Text(id, "value")}
			if seen[key] {
				c.say("identity-twice", id, r.at("/identifier/"+strconv.Itoa(i)), finding.Say("a second {1} has this identifier", finding.Data(r.kind)), "", "one resource for an identity")
			}
			seen[key] = true
		}
	}
}

// pagingLinks are the relations of which a page of results has one each. Source: FHIR R4
// 4.0.1, http, paging; RFC 8288 and 5005, from which the names are.
var pagingLinks = setOf("self first previous prev next last")

// linkTwice: whoever follows a link by its relation finds one.
func linkTwice(c *check) {
	if c.bundle == nil {
		return
	}
	seen := map[string]bool{}
	for i, link := range r4.Items(c.bundle.node, "link") {
		relation := r4.Text(link, "relation")
		if pagingLinks[relation] && seen[relation] {
			c.say("link-twice", link, "/link"+source.Pointer(i), finding.Say("a second link has the relation {1}", finding.Data(relation)), "", "one link for a relation of paging")
		}
		seen[relation] = true
	}
}

// totalForbidden (bdl-1): only search results and histories count a total.
func totalForbidden(c *check) {
	if c.bundle == nil || c.bundle.node.Get("total") == nil || c.kind == "searchset" || c.kind == "history" {
		return
	}
	c.say("total-forbidden", c.bundle.node.Get("total"), "/total", "the bundle has a total", "", "only a searchset or history has one")
}
