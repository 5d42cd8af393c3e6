package main

// standing is how a session stands in the end, and the revisions that lead there.
type standing struct {
	name string
	// of tells which rows it is for.
	of        func(row) bool
	revisions []revision
}

// revision is one revision of a session: what sets its sheet apart.
type revision struct {
	closed    bool // every level was said to be closed; later revisions know better
	verified  bool
	single    bool // one injection alone
	later     bool // the second injection was a minute later than first written
	copied    bool // the second flow is another number than first written
	withdrawn bool
}

func free(r row) bool  { return !r.held }
func held(r row) bool  { return r.held }
func open(r row) bool  { return !r.answered }
func every(row) bool   { return true }
func first() revision  { return revision{verified: true} }
func closed() revision { return revision{verified: true, closed: true} }

// standings is the table. A row that holds a session preliminary is met as amended or
// corrected where a released session came to it by a correction.
var standings = []standing{
	{"partial", open, []revision{{}}},
	{"preliminary", free, []revision{{verified: true, single: true}}},
	{"preliminary", held, []revision{first()}},
	{"final", free, []revision{first()}},
	{"amended", free, []revision{first(), {verified: true, later: true}}},
	{"amended", held, []revision{closed(), first(), {verified: true, later: true}}},
	{"corrected", free, []revision{first(), {verified: true, copied: true}}},
	{"corrected", held, []revision{closed(), first()}},
	{"entered-in-error", every, []revision{first(), {withdrawn: true}}},
}
