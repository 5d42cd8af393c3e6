// Package picture draws the curves of an indicator dilution: for each injection two
// panels over one time axis, with lines, moments, stretches of time and words.
//
// It knows numbers and ready words only. What a line means, in which language it is
// called and what a value is rounded to is decided above; here it is decided where
// things go, so that
//
//   - every line is labelled directly and no label covers another, a curve or the edge;
//   - lines differ by dash and width as well as by colour, and the text is dark on
//     white, so that nothing is lost in black and white or to a reader who sees
//     colours differently;
//   - all of it can be read at 600 pixels of width.
//
// SVG and PNG are written from the same list of shapes. Same input, same bytes of SVG;
// of PNG on the same architecture and version of Go. An SVG holds text as text, a title
// and a description, no script, no font and no reference to anything outside it.
//
// Units: times in s, lengths in pixels of a picture 600 wide, y downwards. What is not a
// number, or above 1e9 in size as no recording is (internal/trace), counts as missing
// and is never drawn.
//
// Curves of more samples than the picture has columns are thinned to the least and the
// greatest value of each column: what is drawn is where the curve was.
//
// The colours are those of M. Okabe and K. Ito (Color Universal Design, 2002; also
// B. Wong, Nature Methods 8:441, 2011). The letters of a PNG are those of the Go
// fonts; an SVG asks for the reader's sans-serif and is laid out with room for a wide one.
package picture
