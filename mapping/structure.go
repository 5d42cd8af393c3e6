package mapping

// Extensions of ours, below the canonical base.
const (
	labelExtension    = "/StructureDefinition/flow-label" // which flow a number stands for
	originExtension   = "/StructureDefinition/origin"     // how a value came to be
	obtainedExtension = "/StructureDefinition/obtained"   // how a vital sign was obtained
	boundExtension    = "/StructureDefinition/bound"      // the bound that a value lay beyond
)

// Local codes of components that are no fact: parts of a value.
const (
	originCode   = "origin"
	obtainedCode = "obtained"
)

// Local codes of what a curve says of its file.
const (
	curveFileCode      = "curve-file-hash"
	curveResampledCode = "curve-resampled"
)

// Local codes of components of the panel that are fields of the session, or say
// who wrote it.
const (
	revisionCode         = "revision"
	verifiedRevisionCode = "verified-revision"
	verifiedAtCode       = "verified-at"
	changedInCode        = "changed-in"
	flowBeforeCode       = "flow-before"
	programCode          = "program"
	tableHashCode        = "table-hash"
	settingsHashCode     = "settings-hash"
)

// Local codes of a document, and of sections of it that are no measure.
const (
	documentCode   = "session-document"
	injectionsCode = "injections"
	recordingsCode = "recordings"
)

// testCode marks resources of invented data (v3-ActReason).
const testCode = "HTEST"
