package worksheet

// plan writes down the formulas that the printed readings allow.
func (w *Working) plan() {
	for _, s := range []State{Start, End} {
		w.geometry(s)
	}
	for _, s := range []State{Start, End} {
		w.energies(s)
	}
	change := func(id ID, name string) {
		var terms []Expr
		if w.can(End.Of(name)) {
			terms = append(terms, Val(End.Of(name)))
		}
		if w.can(Start.Of(name)) {
			terms = append(terms, less(Val(Start.Of(name))))
		}
		if len(terms) == 2 || (len(terms) == 1 && name == "kinetic") {
			w.steps[id] = Add(terms...)
		}
	}
	change(KineticChange, "kinetic") // at rest where no speed is printed
	change(ElasticChange, "elastic")
	change(GravitationalChange, "gravitational")
	if w.can(StartTotal, EndTotal) {
		w.steps[Lost] = Add(Val(StartTotal), less(Val(EndTotal)))
	}
	if w.can(Lost, GravitationalChange) {
		w.steps[PercentLost] = Div(Val(Lost), less(Val(GravitationalChange)))
	}
}

// can reports whether all of these are printed or can be worked out.
func (w *Working) can(ids ...ID) bool {
	for _, id := range ids {
		if _, step := w.steps[id]; !step && !w.Printed(id) {
			return false
		}
	}
	return true
}

// geometry closes the chain support, spring, bob, floor with whichever link is missing.
func (w *Working) geometry(s State) {
	height, length := s.Of("height"), s.Of("length")
	switch {
	case !w.can(BobLength):
	case w.can(height, length) && !w.can(SupportHeight):
		w.steps[SupportHeight] = Add(Val(height), Val(BobLength), Val(length))
	case !w.can(SupportHeight):
	case w.can(height) && !w.can(length):
		w.steps[length] = Add(Val(SupportHeight), less(Val(height)), less(Val(BobLength)))
	case w.can(length) && !w.can(height):
		w.steps[height] = Add(Val(SupportHeight), less(Val(length)), less(Val(BobLength)))
	}
	if w.can(length, NaturalLength) {
		w.steps[s.Of("extension")] = Add(Val(length), less(Val(NaturalLength)))
	}
}

func (w *Working) energies(s State) {
	height, length, extension, speed := Val(s.Of("height")), Val(s.Of("length")), Val(s.Of("extension")), Val(s.Of("speed"))
	total := []Expr{}
	if w.can(BobMass, speed.ID) {
		moving := Val(BobMass)
		if w.can(SpringMass) {
			moving = Add(moving, Div(Val(SpringMass), Num(3)))
		}
		w.steps[s.Of("kinetic")] = Mul(Num(0.5), moving, speed, speed)
		total = append(total, Val(s.Of("kinetic")))
	}
	if w.can(Rate, extension.ID) {
		elastic := Mul(Num(0.5), Val(Rate), extension, extension)
		if w.can(InitialTension) {
			elastic = Add(elastic, Mul(Val(InitialTension), extension))
		}
		w.steps[s.Of("elastic")] = elastic
		total = append(total, Val(s.Of("elastic")))
	}
	if w.can(BobMass, Gravity, height.ID) {
		up := Mul(Val(BobMass), Val(Gravity), height)
		if w.can(SpringMass) {
			if !w.can(SupportHeight, length.ID) {
				return // the spring's share cannot be worked out, and so neither can the whole
			}
			up = Add(up, Mul(Val(SpringMass), Val(Gravity), Add(Val(SupportHeight), less(Div(length, Num(2))))))
		}
		w.steps[s.Of("gravitational")] = up
		total = append(total, Val(s.Of("gravitational")))
	}
	if w.can(s.Of("elastic"), s.Of("gravitational")) {
		w.steps[s.Of("total")] = Add(total...)
	}
}
