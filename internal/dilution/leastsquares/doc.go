// Package leastsquares finds the parameters of a model that make a sum of squares
// smallest, by the method of Levenberg and Marquardt.
//
// It minimises
//
//	S(p) = sum over i of r_i(p)^2 + sum over j of ((p_j - m_j)/s_j)^2
//
// with r the residuals, each divided by its standard deviation by the model, and for
// parameters that have one a Gaussian prior of mean m and standard deviation s. Each
// parameter may have bounds; a parameter at its bound is held there while the slope of
// S points outward.
//
// Each iteration brings the matrix of derivatives to triangular form in chunks of rows
// by Householder reflections, so that the condition number is not squared as normal
// equations would do, then solves for the step d that makes |J d + r|^2 + k |D d|^2
// smallest. D holds the largest norms of the columns so far; k shrinks or grows with
// the gain, which is the fall of S over the fall that the linear model promised.
//
// Sources: Marquardt DW. J Soc Ind Appl Math 1963;11:431-441; scaling by columns: More
// JJ. Lecture Notes in Mathematics 1978;630:105-116; the rule for k: Nielsen HB. Damping
// parameter in Marquardt's method, Technical University of Denmark, 1999 (all three from
// memory). Tests: the certified values of NIST in testdata.
//
// A Solver allocates when it is made and never in Fit. It keeps scratch space, so
// each goroutine needs its own. The same input gives the same bits.
package leastsquares
