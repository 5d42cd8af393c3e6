package circuit

// join leads from one junction to another.
func (t *tanks) join(from, to junction, l link) {
	l.from, l.to, l.chain = int(from), int(to), -1
	t.net.links = append(t.net.links, l)
}

// throughValve gives flow while a valve is open.
func throughValve(v valve, flowMLs float64) link { return link{valve: v, pulse: flowMLs} }

// forward is the flow through a leaking valve of which a net flow is left.
func forward(netMLs, leak float64) float64 { return netMLs / (1 - leak) }

// joinHeart joins atria, ventricles and the two great arteries.
func (t *tanks) joinHeart() {
	b, leaks := t.balance, t.Leaks
	fromAtrium := throughValve(tricuspidValve, forward(b.tricuspid, leaks.Tricuspid))
	t.joinStream(&fromAtrium)
	t.join(rightAtrium, rightVentricle, fromAtrium)
	t.join(rightVentricle, pulmonaryArtery, throughValve(pulmonaryValve, forward(b.pulmonaryValve, leaks.Pulmonary)))
	t.join(leftAtrium, leftVentricle, throughValve(mitralValve, forward(b.mitral, leaks.Mitral)))
	t.join(leftVentricle, aorticRoot, throughValve(aorticValve, forward(b.aorticValve, leaks.Aortic)))
}

// joinLeaks lets blood come back: through the valves of the atria while the ventricles
// eject, through those of the arteries while they fill.
func (t *tanks) joinLeaks() {
	b, leaks := t.balance, t.Leaks
	for _, leak := range []struct {
		from, to   junction
		while      valve
		net, share float64
	}{
		{rightVentricle, rightAtrium, pulmonaryValve, b.tricuspid, leaks.Tricuspid},
		{pulmonaryArtery, rightVentricle, tricuspidValve, b.pulmonaryValve, leaks.Pulmonary},
		{leftVentricle, leftAtrium, aorticValve, b.mitral, leaks.Mitral},
		{aorticRoot, leftVentricle, mitralValve, b.aorticValve, leaks.Aortic},
	} {
		if leak.share > 0 {
			t.join(leak.from, leak.to, throughValve(leak.while, forward(leak.net, leak.share)*leak.share))
		}
	}
}

// joinShunts joins the two circulations. A ventricular defect lets blood through while
// the ventricle that it comes from ejects.
func (t *tanks) joinShunts() {
	s, steady := t.Shunts, func(flowMLs float64) link { return link{steadyMLs: flowMLs} }
	for _, way := range []struct {
		from, to junction
		l        link
	}{
		{leftAtrium, rightAtrium, steady(s.Atrial.LeftToRight)},
		{rightAtrium, leftAtrium, steady(s.Atrial.RightToLeft - t.streamAcross)},
		{leftVentricle, rightVentricle, throughValve(aorticValve, s.Ventricular.LeftToRight)},
		{rightVentricle, leftVentricle, throughValve(pulmonaryValve, s.Ventricular.RightToLeft)},
		{isthmus, pulmonaryArtery, steady(s.Ductal.LeftToRight)},
		{pulmonaryArtery, isthmus, steady(s.Ductal.RightToLeft)},
	} {
		if way.l.steadyMLs > 0 || way.l.pulse > 0 {
			t.join(way.from, way.to, way.l)
		}
	}
}

// joinStream leads a part of the caval vein of the catheter past the mixing of the right
// atrium. The lower caval stream goes to the left atrium first where blood crosses that
// way, for it is directed at the foramen; the upper one to the valve (common practice, no
// source). What the stream takes to the ventricle, the rest of the atrium does not.
func (t *tanks) joinStream(rest *link) {
	if t.Streaming < 0.01 {
		return
	}
	into := &t.net.chains[t.entry]
	into.past, into.pastShare = int(atrialStream), t.Streaming
	flow := t.Streaming * t.caval * t.FlowMLs
	across := 0.2 * t.Shunts.Atrial.RightToLeft
	if t.lowerCatheter {
		across = 0.8 * t.Shunts.Atrial.RightToLeft
	}
	// Neither the stream nor the rest of the atrium gives more than it gets.
	restMLs := t.FlowMLs - flow + t.Shunts.Atrial.LeftToRight
	across = min(max(across, t.Shunts.Atrial.RightToLeft-0.9*restMLs), 0.9*flow)
	t.streamAcross = across
	if across > 0 {
		t.join(atrialStream, leftAtrium, link{steadyMLs: across})
	}
	stream := link{
		valve: tricuspidValve, pulse: flow - across,
		loopMLs:      t.Streaming * (1 - t.caval) * t.Loop.FlowMLs,
		injectedPart: t.Streaming * (1 - t.held),
	}
	rest.pulse -= stream.pulse
	rest.loopMLs, rest.injectedPart = -stream.loopMLs, -stream.injectedPart
	t.join(atrialStream, rightVentricle, stream)
}
