package dilution

// The loop brings indicator back to the vein by a way that is known: its flow and the
// volumes of its tubes are stated. With
//
//	a    arterial curve as recorded
//	a'   what it would be if the loop's blood came back without indicator
//	Q1   flow of the loop, mL/s
//	d    time from the arterial sensor through the loop to the vein, s
//	te   mean time of entry of the injected indicator, s
//	V    indicator injected, mL
//
// the circulation answers what the loop returns as it answers the injection, only later:
//
//	a(t) = a'(t) + Q1/V * integral of a(u) a'(t - u - d + te) du
//
// which is solved forward in time, since a' at the right lies before a' at the left.
// (Linearity and conservation of indicator; derived here, no source. The spread of the
// entry and of the tubes is neglected in this one term.)

// takeLoop replaces h (on the grid, from the injection on) by what it would be without the
// loop's return.
func takeLoop(h []float64, loop Loop, volumeML, entryS float64) {
	d := (loop.SensorToPortML + loop.PortToSensorML + loop.SensorToVeinML) / loop.FlowMLs
	lag := max(int((d-entryS)/gridStepS+0.5), -len(h))
	weight := loop.FlowMLs / volumeML * gridStepS
	was := append([]float64(nil), h...)
	// The first indicator to come back is what was above noise: all before the curve has
	// risen to a hundredth of its peak is left out.
	first, top := 0, 0.0
	for _, v := range was {
		top = max(top, v)
	}
	for first < len(was) && was[first] < 0.01*top {
		first++
	}
	for t := range h {
		sum := 0.0
		for u := max(first, t-lag-len(h)+1); u <= min(t-lag-first, len(h)-1); u++ {
			if i := t - u - lag; i >= first && i < t {
				sum += was[u] * h[i]
			}
		}
		h[t] -= weight * sum
	}
}
