package chart

// WithOrigins is shown to tests.
var WithOrigins = withOrigins
