package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// What an entry asks, answers or was found by. Source: FHIR R4 4.0.1, Bundle and http
// (CC0).

// answering tells whether the bundle answers a transaction or a batch.
func (v *view) answering() bool {
	return v.kind == "transaction-response" || v.kind == "batch-response"
}

// responseMissing (bdl-4): each entry of an answer, or of a history, says what came of
// it.
func responseMissing(c *check, e *resource) {
	if (c.answering() || c.kind == "history") && e.entry.Get("response") == nil {
		c.say("response-missing", e.entry, e.entryPointer(), "the entry has no response", "", finding.Say("a {1} says for each entry what came of it", finding.Data(c.kind)))
	}
}

// responseStatus: an answer begins with the three digits of an HTTP status.
func responseStatus(c *check, e *resource) {
	status := e.entry.Get("response").Get("status")
	if status == nil || isHTTPStatus(status.Text) {
		return
	}
	c.say("response-status", status, e.entryPointer()+"/response/status", "the status of the response is {}", status.Text, "three digits of HTTP, from 100 to 599, and words behind a space if any")
}

func isHTTPStatus(s string) bool {
	digits, _, _ := strings.Cut(s, " ")
	return len(digits) == 3 && digits >= "100" && digits <= "599" && strings.Trim(digits, "0123456789") == ""
}

// requestResource: what is created or updated is there, and what is read or deleted has
// no body. An operation and a search by POST take what they like.
func requestResource(c *check, e *resource) {
	request := e.entry.Get("request")
	method, url := r4.Text(request, "method"), r4.Text(request, "url")
	path, _, _ := strings.Cut(url, "?")
	if !c.writing() || strings.Contains(url, "$") || path == "_search" || strings.HasSuffix(path, "/_search") {
		return
	}
	there := e.entry.Get("resource") != nil
	switch {
	case !there && slices.Contains([]string{"POST", "PUT", "PATCH"}, method):
		c.say("request-resource", request, e.entryPointer()+"/request", finding.Say("a {1} has no resource", finding.Data(method)), "", "what is to be written")
	case there && slices.Contains([]string{"GET", "HEAD", "DELETE"}, method):
		c.say("request-resource", e.entry.Get("resource"), e.entryPointer()+"/resource", finding.Say("a {1} has a resource", finding.Data(method)), "", "nothing but the address is read here")
	}
}

// conditionsOf are the methods that a condition of a request means something for.
var conditionsOf = []struct {
	member  string
	methods []string
}{
	{"ifNoneExist", []string{"POST"}},
	{"ifMatch", []string{"PUT", "PATCH", "DELETE"}},
	{"ifNoneMatch", []string{"GET", "HEAD", "PUT"}},
	{"ifModifiedSince", []string{"GET", "HEAD"}},
}

// requestCondition: a condition stands where a server looks for it; elsewhere it is read
// past, and what it was to prevent happens.
func requestCondition(c *check, e *resource) {
	request := e.entry.Get("request")
	method := r4.Text(request, "method")
	for _, row := range conditionsOf {
		if condition := request.Get(row.member); condition != nil && method != "" && !slices.Contains(row.methods, method) {
			c.say("request-condition", condition, e.entryPointer()+"/request/"+row.member, finding.Say("{1} stands beside {2}", finding.Data(row.member), finding.Data(method)), "", finding.Say("it belongs to {1}", finding.Or(finding.Datas(row.methods)...)))
		}
	}
}

// conditionEmpty: a search that chooses what is written, or referred to, names something
// to look for. One that names nothing finds whatever the server has.
func conditionEmpty(c *check, e *resource) {
	request := e.entry.Get("request")
	if request == nil || !c.writing() {
		return
	}
	address, method := r4.Text(request, "url"), r4.Text(request, "method")
	if _, query, search := strings.Cut(address, "?"); search && method != "GET" && method != "HEAD" && !isSearch(query) {
		c.say("condition-empty", request.Get("url"), e.entryPointer()+"/request/url", "the search of the request names nothing", "", "a parameter with a value, such as identifier=system|value")
	}
	if condition := request.Get("ifNoneExist"); condition != nil && !isSearch(strings.TrimPrefix(condition.Text, "?")) {
		c.say("condition-empty", condition, e.entryPointer()+"/request/ifNoneExist", "the search of the request names nothing", "", "a parameter with a value, such as identifier=system|value")
	}
}

// isSearch tells whether every parameter of a search has a name and a value. A token may
// be of a system alone, but not of nothing at all.
func isSearch(query string) bool {
	for parameter := range strings.SplitSeq(query, "&") {
		name, value, _ := strings.Cut(parameter, "=")
		if name == "" || !saysMore(value) {
			return false
		}
	}
	return true
}

// saysMore tells whether the value of a parameter is well escaped and holds anything but
// spaces and the mark between system and value.
func saysMore(value string) bool {
	more := false
	for i := 0; i < len(value); i++ {
		c := value[i]
		switch {
		case c == '+':
			c = ' '
		case c == '%':
			if i+2 >= len(value) || !isHex(value[i+1]) || !isHex(value[i+2]) {
				return false
			}
			c = unhex(value[i+1])<<4 | unhex(value[i+2])
			i += 2
		}
		more = more || c != ' ' && c != '|'
	}
	return more
}

func isHex(c byte) bool { return '0' <= c && c <= '9' || 'a' <= c|0x20 && c|0x20 <= 'f' }

func unhex(c byte) byte {
	if c <= '9' {
		return c - '0'
	}
	return c | 0x20 - 'a' + 10
}

// referenceEmptySearch (condition-empty): the same for a reference that a server is to
// resolve.
func referenceEmptySearch(w *walk, _ string, _, n *source.Node) {
	kind, query, search := strings.Cut(n.Text, "?")
	if search && n.Kind == source.String && w.view.kind == "transaction" && shape.IsResource(kind) && !isSearch(query) {
		w.report("condition-empty", n, "the search of the reference names nothing", "", "a parameter with a value, such as identifier=system|value")
	}
}

// searchOutcome: among results of a search only an OperationOutcome is about the search.
func searchOutcome(c *check, e *resource) {
	mode := e.entry.Get("search").Get("mode")
	if mode == nil || e.kind == "" || (mode.Text == "outcome") == (e.kind == "OperationOutcome") {
		return
	}
	c.say("search-outcome", mode, e.entryPointer()+"/search/mode", finding.Say("a {1} was found as {}", finding.Data(e.kind)), mode.Text, "outcome for an OperationOutcome, and for nothing else")
}

// messageForm (bdl-12): a message begins with its MessageHeader.
func messageForm(c *check) {
	if c.kind != "message" {
		return
	}
	entries := r4.Items(c.bundle.node, "entry")
	if len(entries) == 0 || r4.Text(entries[0].Get("resource"), "resourceType") != "MessageHeader" {
		c.say("message-form", c.bundle.node, "/entry/0", "the message does not begin with a MessageHeader", "", "the first entry of a message is its MessageHeader")
	}
}

// resourceTwice: one transaction acts on one resource once; servers do so in an order of
// their own, or refuse.
func resourceTwice(c *check) {
	if c.kind != "transaction" {
		return
	}
	seen := map[string]string{}
	for _, e := range c.entriesOf() {
		request := e.entry.Get("request")
		method, url := r4.Text(request, "method"), r4.Text(request, "url")
		if !slices.Contains([]string{"PUT", "PATCH", "DELETE"}, method) || url == "" {
			continue
		}
		// Two of one method under one search are told as condition-twice.
		if before, twice := seen[url]; twice && before != method {
			c.say("resource-twice", request, e.entryPointer()+"/request", finding.Say("a {1} and a {2} are for one resource", finding.Data(before), finding.Data(method)), "", "one entry of a transaction for one resource")
		}
		seen[url] = method
	}
}
