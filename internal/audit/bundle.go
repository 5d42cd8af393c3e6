package audit

import (
	"slices"
	"strconv"
	"strings"
)

// each calls judge for every resource of a bundle, with the entry's pointer.
func (c *check) each(judge func(r *resource)) {
	if c.bundle == nil {
		return
	}
	for _, r := range c.resources {
		if r.entry != nil {
			judge(r)
		}
	}
}

// writing tells whether the bundle asks a server to do something.
func (v *view) writing() bool { return v.kind == "transaction" || v.kind == "batch" }

// fullURLMissing: entries that are referred to by urn:uuid, and all of a
// document or collection, have a fullUrl.
func fullURLMissing(c *check) {
	if c.kind != "transaction" && c.kind != "document" && c.kind != "collection" {
		return
	}
	c.each(func(r *resource) {
		if r.fullURL == "" {
			c.say("full-url-missing", r.entry, r.entryPointer(), "the entry has no fullUrl", "", "an absolute address or urn:uuid")
		}
	})
}

// fullURLTwice (bdl-7): an address stands for one entry.
func fullURLTwice(c *check) {
	seen := map[string]bool{}
	c.each(func(r *resource) {
		if r.fullURL != "" && seen[r.fullURL] {
			c.say("full-url-twice", r.entry.Get("fullUrl"), r.entryPointer()+"/fullUrl", "a second entry has this fullUrl", "", "one entry for an address")
		}
		seen[r.fullURL] = true
	})
}

// requestMissing (bdl-3): an entry of a transaction or batch says what to do.
func requestMissing(c *check) {
	if !c.writing() {
		return
	}
	c.each(func(r *resource) {
		if r.entry.Get("request") == nil {
			c.say("request-missing", r.entry, r.entryPointer(), "the entry has no request", "", "a "+c.kind+" says for each entry what to do")
		}
	})
}

// requestForbidden (bdl-3): only a transaction, batch or history asks.
func requestForbidden(c *check) {
	if c.writing() || c.kind == "history" {
		return
	}
	c.each(func(r *resource) {
		if r.entry.Get("request") != nil {
			c.say("request-forbidden", r.entry.Get("request"), r.entryPointer()+"/request", "the entry has a request", "", "only a transaction, batch or history has requests")
		}
	})
}

// requestType: the address of a request names the type of its resource.
func requestType(c *check) {
	if !c.writing() {
		return
	}
	c.each(func(r *resource) {
		url := textAt(r.entry.Get("request"), "url")
		kind, _, _ := strings.Cut(url, "?")
		kind, _, _ = strings.Cut(kind, "/")
		if url != "" && kind != r.kind {
			c.say("request-type", r.entry.Get("request").Get("url"), r.entryPointer()+"/request/url", "the request is for {}", kind, "the resource is a "+r.kind)
		}
	})
}

// conditionTwice: a condition chooses one resource, so it stands once; servers
// drop one of two without a word.
func conditionTwice(c *check) {
	if !c.writing() {
		return
	}
	seen := map[string]bool{}
	c.each(func(r *resource) {
		q := r.entry.Get("request")
		condition := textAt(q, "url")
		if none := textAt(q, "ifNoneExist"); none != "" {
			condition += "?" + none
		}
		if !strings.Contains(condition, "?") && textAt(q, "method") != "PUT" {
			return
		}
		if seen[condition] {
			c.say("condition-twice", q, r.entryPointer()+"/request", "a second entry has this condition", "", "each condition once")
		}
		seen[condition] = true
	})
}

// identityTwice: two resources of a type have one business identifier.
func identityTwice(c *check) {
	seen := map[string]bool{}
	for _, r := range c.resources {
		for _, p := range valuesOf(placed{r.node, r.pointer}, "identifier") {
			key := r.kind + " " + textAt(p.node, "system") + "|" + textAt(p.node, "value")
			if textAt(p.node, "value") != "" && seen[key] {
				c.say("identity-twice", p.node, p.pointer, "a second "+r.kind+" has this identifier", "", "one resource for an identity")
			}
			seen[key] = true
		}
	}
}

// totalForbidden (bdl-1): only search results and histories count a total.
func totalForbidden(c *check) {
	if c.bundle == nil || c.bundle.Get("total") == nil || c.kind == "searchset" || c.kind == "history" {
		return
	}
	c.say("total-forbidden", c.bundle.Get("total"), "/total", "the bundle has a total", "", "only a searchset or history has one")
}

// referenceCycle: what was derived, or has members, does not come back to itself.
func referenceCycle(c *check) {
	const (
		open = iota + 1
		done
	)
	state := map[*resource]int{}
	var visit func(r *resource) bool
	visit = func(r *resource) bool {
		if state[r] != 0 {
			return state[r] == open
		}
		state[r] = open
		for _, name := range []string{"derivedFrom", "hasMember"} {
			for i, ref := range items(r.node, name) {
				target := c.byURL[textAt(ref, "reference")]
				if target != nil && visit(target) {
					c.say("reference-cycle", ref, r.at("/"+name+"/"+strconv.Itoa(i)), "this reference leads back to where it started", "", "no circle of derivedFrom and hasMember")
				}
			}
		}
		state[r] = done
		return false
	}
	for _, r := range c.resources {
		if slices.Contains(observation, r.kind) {
			visit(r)
		}
	}
}
