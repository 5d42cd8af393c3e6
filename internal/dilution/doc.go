// Package dilution computes flow, volumes and shunt signs from the curves of an
// indicator dilution, and how sure it is of them.
package dilution
