package circuit

// inject moves the indicator as a plug from the port: the flux that enters the vein
// and the concentration at the venous sensor. The line carries the loop's flow and,
// while the hand presses, the injected volume too.
func (n *passages) inject() {
	const fine = 0.01
	l := n.s.Loop
	steps := kernelPoints * 5
	given := newSyringe(n.s)
	rate, passed := make([]float64, steps), make([]float64, steps+1) // volume through the port
	for i := range rate {
		rate[i] = (given.byML(float64(i+1)*fine) - given.byML(float64(i)*fine)) / fine
		passed[i+1] = passed[i] + (l.FlowMLs+rate[i])*fine
	}
	toSensor, toVein := l.PortToSensorML, l.PortToSensorML+l.SensorToVeinML
	n.entry, n.port = make([]float64, kernelPoints), make([]float64, kernelPoints)
	const per = 5 // fine steps in one of the grid
	sensor, vein := column{passed: passed, rate: rate, loop: l.FlowMLs}, column{passed: passed, rate: rate, loop: l.FlowMLs}
	for i := range steps {
		if i/per >= kernelPoints {
			break
		}
		middle := (passed[i] + passed[i+1]) / 2
		n.entry[i/per] += vein.at(middle-toVein) * (l.FlowMLs + rate[i]) / float64(per)
		n.port[i/per] += sensor.at(middle-toSensor) / float64(per)
	}
}

// column is what moves behind the port, read in order.
type column struct {
	passed, rate []float64
	loop         float64
	i            int
}

// at is the part of indicator in what passed the port as the volume came to that.
func (p *column) at(volume float64) float64 {
	if volume < 0 {
		return 0
	}
	for p.i+1 < len(p.passed)-1 && p.passed[p.i+1] <= volume {
		p.i++
	}
	return p.rate[p.i] / (p.loop + p.rate[p.i])
}
