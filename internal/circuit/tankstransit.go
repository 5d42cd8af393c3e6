package circuit

// restingWay is a flow at rest between two junctions, with the blood of the chain that it goes
// through.
type restingWay struct {
	from, to          int
	flowMLs, volumeML float64
}

// transit is the mean transit time from the tip of the venous to that of the arterial
// catheter when nothing comes back from the body and flows are at rest, s. For a unit
// of indicator at the one tip, the area A of the curve and its first moment M at each
// junction follow from what flows where, for chains of volume V between junctions:
//
//	outflow A = entering + sum of inflow A
//	outflow M = entering x time of entering + volume A + sum of (inflow M + V A)
//
// Mean volumes over the beat count: mean transit is volume by flow where both pulse,
// too.
func (t *tanks) transit() float64 {
	entry := &t.net.chains[t.entry]
	var enters [places]float64
	enters[entry.to] += 1 - entry.pastShare
	enters[entry.past] += entry.pastShare
	ways := t.restingWays()
	area := solveWays(ways, enters)
	entryS := entry.volumeML() / t.restingMLs[t.entry]
	var moments [places]float64
	for j := range places {
		moments[j] = enters[j]*entryS + t.meanML[j]*area[j]
	}
	for _, w := range ways {
		if w.to >= 0 {
			moments[w.to] += w.volumeML * area[w.from]
		}
	}
	return solveWays(ways, moments)[t.tip] / area[t.tip]
}

// restingWays lists the flows at rest; what goes to the body or the loop has no end (-1).
func (t *tanks) restingWays() []restingWay {
	var ways []restingWay
	for i := range t.net.links {
		l := &t.net.links[i]
		w := restingWay{from: l.from, to: l.to, flowMLs: l.restingMLs()}
		switch {
		case l.chain < 0:
		case l.chain < t.entry || l.chain >= t.firstOrgan:
			w.to = -1
		default:
			c := &t.net.chains[l.chain]
			w.to, w.volumeML = c.to, c.volumeML()
		}
		ways = append(ways, w)
	}
	return ways
}

// solveWays gives x with outflow x = given + sum of inflow x, by elimination: what
// leaves a junction is never less than what its ways inside bring on. Junctions that
// nothing leaves have 0.
func solveWays(ways []restingWay, given [places]float64) (x [places]float64) {
	var rows [places][places]float64
	for _, w := range ways {
		rows[w.from][w.from] += w.flowMLs
		if w.to >= 0 {
			rows[w.to][w.from] -= w.flowMLs
		}
	}
	for k := range places {
		if rows[k][k] == 0 {
			rows[k][k] = 1
		}
		for i := k + 1; i < places; i++ {
			part := rows[i][k] / rows[k][k]
			for j := k; j < places; j++ {
				rows[i][j] -= part * rows[k][j]
			}
			given[i] -= part * given[k]
		}
	}
	for k := places - 1; k >= 0; k-- {
		x[k] = given[k]
		for j := k + 1; j < places; j++ {
			x[k] -= rows[k][j] * x[j]
		}
		x[k] /= rows[k][k]
	}
	return x
}
