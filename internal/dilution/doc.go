// Package dilution computes flow, volumes and shunt signs from the curves of an
// indicator dilution, and how sure it is of them.
//
// It was tested on simulated circulations only; the figures are in internal/accuracy
// (`make accuracy`, log.tsv and latest.md). It knows numbers only: no sheet, no patient, no label.
//
// # Symbols and units
//
//	H(t)   volume fraction of indicator in blood at a sensor (1)
//	V      indicator injected, mL; t_inj the duration of the injection, s
//	Q      systemic blood flow Qs, loop included, mL/s; Qp the flow through the lungs
//	Q1     flow of the extracorporeal loop, mL/s; V_art, V_port ... volumes of its
//	       sections, mL
//	mu     mean transit from the tip of the venous to that of the arterial catheter, s
//
// Times are in s, from when the injection was noted; where the venous curve shows when it
// really began, that counts.
//
// # The way from curves to values
//
//  1. Curves become volume fractions on a grid of 0.1 s, less a straight baseline
//     (units.go, grid.go, baseline.go, prepare.go). Noise is measured as block averages
//     over 0.1, 1 and 3 s, since first differences hardly see slow noise (noise.go).
//  2. What is wrong with the recording is told by rules (rules.go, fault*.go); some of
//     them spoil it, and nothing is computed then.
//  3. The injection is seen on the venous curve (pulse.go); how the indicator enters the
//     vein follows from flows and volumes of the tubes (entry.go). How laminar the tubes
//     are is seen where the indicator passes both sensors (tube.go).
//  4. The first pass is separated from what comes back in three ways, all reported:
//     closed-loop fits of four structures, and of two with early appearance where none of
//     those explains the curve (looplaw.go, loopbody.go, closedloop.go, loops.go), the
//     exponential downslope (exponential.go), a gamma variate (gammavariate.go). Conservation of indicator gives Q = V / area of the first pass
//     (Stewart, Hamilton: physiology textbooks).
//  5. The loop's own return, whose way is known, is taken off the curve (loopshare.go). The
//     curve is then read at multiples of its own rise time (features.go).
//  6. Small nets, which were tuned on simulated recordings of three physics, correct the
//     flow of the closed loops by all of that, and say how far off they may be
//     (calibration.go, network.go). They also answer the mean transit, and the odds of a
//     shunt from left to right and of indicator that appears early.
//  7. Central blood volume = Q mu (Meier P, Zierler KL. J Appl Physiol 1954;6:731-744,
//     citation from memory). Dispersion volume = Q sqrt(4 dVar), dVar the variance of the
//     first pass less that of the entry: that of four equal mixed chambers (Erlang law).
//     Distribution volume = V / H 60 s after the injection (distribution.go).
//  8. Injections of one session are judged by each other (together.go).
//
// # Why nets
//
// One arterial curve does not tell the law of the lungs from that of the body: a fit is as
// right as its structure. On circuits of moving parcels with laminar tubes and eight
// organs a single fit was up to 20 % off without shunt and 37 % with one from left to
// right (95th percentile; planning runs). A correction that was learned on many structures
// spreads its belief over all of them. To keep it honest: people, circuits and
// sensors are drawn more widely for tuning than for any published figure, from seeds of
// their own; figures are published for each physics, the worse one counts; and what a net
// learned on two physics makes of the third is told below.
//
// What a net that saw tanks and transfer functions alone made of parcels (95th percentile
// of the error of flow without shunt, left to right, right to left; 732, 728 and 832
// recordings, kinds of shunt weighed alike): 7.8, 12.0 and 13.7 %; one that saw parcels and
// transfer functions of tanks: 4.3, 8.1 and 6.3 %. That is what a circulation is to expect
// that nobody thought of; the figures of circuits that were tuned on are smaller. The
// stated intervals of two standard deviations covered 89 % there and 82 %.
//
// A recording that is unlike all of the tuning gets the middle one of the three
// separations, told as doubtful, and nothing else.
//
// # What the values do not hang on
//
// Weight, unit, clock and size of the curve go into no value: twice all volumes and
// flows give twice the flow, the same curve in per cent the same. The stated context of
// shunts is not used either, so that the signs can contradict it.
//
// # Bias and limits
//
//   - True flow is that while the curve is recorded; rest is 1 to 4 % lower, since the
//     injected volume is really added (simulated).
//   - Left to right: an estimate leans to the flow of a wider heart without shunt, most
//     with atrial shunts in the smallest; Qp/Qs is not given as a number.
//   - Right to left through the duct: preductal and postductal curves differ; the flow is
//     the sum of both, and its label says 'not determined'. Nothing in a preductal curve
//     tells of it; there the flow is some 4 % low on moving parcels, and most of the errors
//     beyond three standard deviations are of this kind.
//   - Early appearance withholds transit, central and dispersion volume.
//   - The dispersion volume's spread is chosen, not calibrated.
//   - A flow that swings with breathing by 10 % and more, a leaking valve, a loop flow that
//     is not what was stated: in the second table of internal/accuracy.
//   - On one architecture with GOAMD64=v1 the same input gives the same bits; between
//     architectures that fuse multiply and add, the last digits differ, beyond what is
//     charted.
package dilution
