package picture

import "math"

// dashed cuts a line into the runs that a pen leaves on paper. The dash begins anew
// with each line, as SVG has it.
func dashed(points []point, dash []float64, times float64) [][]point {
	if len(dash) == 0 || len(points) < 2 {
		return [][]point{points}
	}
	var runs [][]point
	run := []point{points[0]}
	part, left, down := 0, dash[0]*times, true
	for i := 1; i < len(points); i++ {
		from, to := points[i-1], points[i]
		length := math.Hypot(to.x-from.x, to.y-from.y)
		for length > left {
			at := point{from.x + (to.x-from.x)*left/length, from.y + (to.y-from.y)*left/length}
			if down {
				runs = append(runs, append(run, at))
			}
			from, length = at, length-left
			part, down = (part+1)%len(dash), !down
			left, run = dash[part]*times, []point{at}
		}
		left -= length
		if down {
			run = append(run, to)
		}
	}
	if down && len(run) > 1 {
		runs = append(runs, run)
	}
	return runs
}

// outline gives the polygons that a round pen covers along a line: a rectangle for each
// step and an octagon at each joint, all turned the same way. The ends are cut square.
func outline(points []point, half float64) [][]point {
	if len(points) == 1 {
		return [][]point{octagon(points[0], half)}
	}
	var polygons [][]point
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		length := math.Hypot(b.x-a.x, b.y-a.y)
		if length == 0 {
			continue
		}
		dx, dy := (b.x-a.x)/length*half, (b.y-a.y)/length*half
		polygons = append(polygons, []point{{a.x + dy, a.y - dx}, {b.x + dy, b.y - dx}, {b.x - dy, b.y + dx}, {a.x - dy, a.y + dx}})
		if i < len(points)-1 && half > 0.6 {
			polygons = append(polygons, octagon(b, half))
		}
	}
	return polygons
}

func octagon(at point, half float64) []point {
	corners := make([]point, 8)
	for i := range corners {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		corners[i] = point{at.x + half*cos, at.y + half*sin}
	}
	return corners
}
