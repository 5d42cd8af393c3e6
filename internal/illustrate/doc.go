// Package illustrate says what the picture of a session shows: which lines, moments and
// words internal/picture draws of the injections that were recorded.
//
// It shows the curves as volume fraction of indicator in blood, in per cent, at the
// times that count from the noted time of the injection; what was computed from them
// (derive.Curves) with the stated uncertainty, or why it is withheld; what the monitor
// reported, beside it; and how good the recording is. It says which flow the number
// stands for, and withholds what the session's shunts withhold.
//
// Nothing of the patient is in a picture but what was measured, and the session's own
// identifier and times. Numbers are rounded as the table of measures says, for reading;
// nothing is computed from them.
package illustrate
