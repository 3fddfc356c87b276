package rig

import "wanderlead/internal/quantity"

func text[T any](key string, at func(*T) any) *field {
	return &field{key: key, kind: textField, required: true, at: in(at)}
}

func id[T any](key string, at func(*T) any) *field {
	return &field{key: key, kind: idField, required: true, at: in(at)}
}

func word[T any](key string, words func(*Rig, any) []string, at func(*T) any) *field {
	return &field{key: key, kind: wordField, required: true, words: words, at: in(at)}
}

func whole[T any](key string, words func(*Rig, any) []string, at func(*T) any) *field {
	return &field{key: key, kind: wholeField, required: true, words: words, at: in(at)}
}

func measure[T any](key string, unit quantity.Unit, at func(*T) any) *field {
	return &field{key: key, kind: amount, unit: unit, required: true, at: in(at)}
}

func truth[T any](key string, at func(*T) any) *field {
	return &field{key: key, kind: yesNo, at: in(at)}
}

func lines[T any](key string, least int, at func(*T) any) *field {
	return &field{key: key, kind: texts, least: least, required: least > 0, at: in(at)}
}

func part[T any](key string, rec *record, at func(*T) any) *field {
	return &field{key: key, kind: group, required: true, rec: rec, at: in(at)}
}

func perhaps[T any](key string, rec *record, at func(*T) any) *field {
	return &field{key: key, kind: maybe, rec: rec, at: in(at)}
}

func several[T any](key string, least int, rec *record, at func(*T) any) *field {
	return &field{key: key, kind: many, least: least, required: least > 0, rec: rec, at: in(at)}
}

// labelled says that the words of a field have wording of their own.
func labelled(f *field) *field { f.labelled = true; return f }

// prose says that a field is for people to read, so that it has a translation.
func prose(f *field) *field { f.prose = true; return f }

// optionally lets a field be left out.
func optionally(f *field) *field { f.required = false; return f }

// only limits a field to the rigs or records for which when holds; why is said when it is given elsewhere.
func only[T any](f *field, why string, when func(*Rig, *T) bool) *field {
	f.why, f.when = why, func(r *Rig, p any) bool { return when(r, p.(*T)) }
	return f
}

var rigRecord = &record{name: "rig", fields: []*field{
	id("id", func(r *Rig) any { return &r.ID }),
	prose(text("title", func(r *Rig) any { return &r.Title })),
	prose(text("setting", func(r *Rig) any { return &r.Setting })),
	part("supply", supplyRecord, func(r *Rig) any { return &r.Supply }),
	part("isolation", isolationRecord, func(r *Rig) any { return &r.Isolation }),
	part("board", boardRecord, func(r *Rig) any { return &r.Board }),
	part("earthing", earthingRecord, func(r *Rig) any { return &r.Earthing }),
	several("circuits", 1, circuitRecord, func(r *Rig) any { return listOf[Circuit]{&r.Circuits} }),
	several("faults", 0, faultRecord, func(r *Rig) any { return listOf[Fault]{&r.Faults} }),
	perhaps("reference", referenceRecord, func(r *Rig) any { return optionalReference{&r.Reference} }),
}}

var supplyRecord = &record{name: "supply", fields: []*field{
	labelled(word("earthing", fixed(string(TNS), string(TNCS), string(TT)), func(s *Supply) any { return (*string)(&s.Earthing) })),
	measure("voltage", quantity.Volt, func(s *Supply) any { return &s.VoltageV }),
	whole("phases", fixed("1", "3"), func(s *Supply) any { return &s.Phases }),
	measure("line-impedance", quantity.Ohm, func(s *Supply) any { return &s.LineOhm }),
	measure("neutral-impedance", quantity.Ohm, func(s *Supply) any { return &s.NeutralOhm }),
	measure("earth-impedance", quantity.Ohm, func(s *Supply) any { return &s.EarthOhm }),
	part("declared", declaredRecord, func(s *Supply) any { return &s.Declared }),
	perhaps("transformer", transformerRecord, func(s *Supply) any { return optionalOf[Transformer]{&s.Transformer} }),
	perhaps("upstream-rcd", rcdRecord, func(s *Supply) any { return optionalOf[RCD]{&s.UpstreamRCD} }),
}}

var declaredRecord = &record{name: "declared", fields: []*field{
	measure("ze", quantity.Ohm, func(d *Declared) any { return &d.ZeOhm }),
	measure("pfc", quantity.Kiloampere, func(d *Declared) any { return &d.PFCKA }),
	measure("voltage", quantity.Volt, func(d *Declared) any { return &d.VoltageV }),
	prose(text("source", func(d *Declared) any { return &d.Source })),
}}

var transformerRecord = &record{name: "transformer", inline: true, fields: []*field{
	{key: "rating-va", kind: plainField, required: true, at: in(func(t *Transformer) any { return &t.RatingVA })},
	{key: "neutral-earthed", kind: yesNo, required: true, at: in(func(t *Transformer) any { return &t.NeutralEarthed })},
}}

var rcdRecord = &record{name: "rcd", inline: true, fields: []*field{
	id("id", func(d *RCD) any { return &d.ID }),
	word("standard", fixed("BS EN 61008-1", "BS EN 61009-1"), func(d *RCD) any { return &d.Standard }),
	word("type", fixed("AC", "A", "F", "B"), func(d *RCD) any { return &d.Type }),
	labelled(word("delay", fixed("general", "S"), func(d *RCD) any { return &d.Delay })),
	measure("rated-residual", quantity.Milliampere, func(d *RCD) any { return &d.IdnMA }),
	measure("rating", quantity.Ampere, func(d *RCD) any { return &d.RatingA }),
	measure("trip-current", quantity.Milliampere, func(d *RCD) any { return &d.TripMA }),
	measure("trip-time", quantity.Millisecond, func(d *RCD) any { return &d.TripMS }),
}}

var isolationRecord = &record{name: "isolation", fields: []*field{
	labelled(word("at", fixed(string(Upstream), string(AtMainSwitch)), func(i *Isolation) any { return (*string)(&i.At) })),
	prose(text("device", func(i *Isolation) any { return &i.Device })),
	prose(text("emergency-switch", func(i *Isolation) any { return &i.EmergencySwitch })),
	prose(lines("stays-live", 1, func(i *Isolation) any { return &i.StaysLive })),
	prose(text("proving-source", func(i *Isolation) any { return &i.ProvingSource })),
	prose(text("supply-seen-by", func(i *Isolation) any { return &i.SupplySeenBy })),
	labelled(word("incoming", incomingChoices, func(i *Isolation) any { return (*string)(&i.Incoming) })),
	prose(lines("look-alikes", 0, func(i *Isolation) any { return &i.OthersThatLookAlike })),
}}

// incomingChoices: a rig isolated at its main switch offers no incoming gate, since its terminals were never dead.
func incomingChoices(r *Rig, _ any) []string {
	if r.Isolation.At == AtMainSwitch {
		return []string{string(NoTestPoints)}
	}
	return []string{string(ShroudedPoints), string(OpenTerminals), string(NoTestPoints)}
}

var boardRecord = &record{name: "board", fields: []*field{
	text("name", func(b *Board) any { return &b.Name }),
	prose(text("location", func(b *Board) any { return &b.Location })),
	prose(text("supplied-from", func(b *Board) any { return &b.SuppliedFrom })),
	labelled(word("arrangement", arrangementChoices, func(b *Board) any { return (*string)(&b.Arrangement) })),
	part("main-switch", mainSwitchRecord, func(b *Board) any { return &b.MainSwitch }),
	optionally(measure("assembly-rating", quantity.Kiloampere, func(b *Board) any { return &b.AssemblyKA })),
	several("sections", 1, sectionRecord, func(b *Board) any { return listOf[Section]{&b.Sections} }),
	perhaps("spd", spdRecord, func(b *Board) any { return optionalOf[SPD]{&b.SPD} }),
}}

func arrangementChoices(r *Rig, _ any) []string {
	if r.Supply.Phases == 3 {
		return []string{string(ThreePhase)}
	}
	return []string{string(Plain), string(SplitLoad), string(RCBOBoard)}
}

var mainSwitchRecord = &record{name: "main-switch", inline: true, fields: []*field{
	prose(text("label", func(m *MainSwitch) any { return &m.Label })),
	whole("poles", func(r *Rig, _ any) []string {
		if r.Supply.Phases == 3 {
			return []string{"3", "4"}
		}
		return []string{"2"}
	}, func(m *MainSwitch) any { return &m.Poles }),
	measure("rating", quantity.Ampere, func(m *MainSwitch) any { return &m.RatingA }),
}}

var sectionRecord = &record{name: "section", fields: []*field{
	id("id", func(s *Section) any { return &s.ID }),
	text("neutral-bar", func(s *Section) any { return &s.Bar }),
	only(perhaps("rcd", rcdRecord, func(s *Section) any { return optionalOf[RCD]{&s.RCD} }),
		"on an RCBO board each way has its own", func(r *Rig, _ *Section) bool { return r.Board.Arrangement != RCBOBoard }),
}}

var spdRecord = &record{name: "spd", inline: true, fields: []*field{
	{key: "types", kind: texts, least: 1, required: true, words: fixed("1", "2", "3"), at: in(func(s *SPD) any { return &s.Types })},
	{key: "removable", kind: yesNo, required: true, at: in(func(s *SPD) any { return &s.Removable })},
}}

var earthingRecord = &record{name: "earthing", fields: []*field{
	text("terminal", func(e *Earthing) any { return &e.Terminal }),
	measure("conductor-size", quantity.SquareMillimetre, func(e *Earthing) any { return &e.ConductorMM2 }),
	measure("conductor-length", quantity.Metre, func(e *Earthing) any { return &e.ConductorM }),
	optionally(prose(text("means-at", func(e *Earthing) any { return &e.MeansAt }))),
	several("bonds", 0, bondRecord, func(e *Earthing) any { return listOf[Bond]{&e.Bonds} }),
	{key: "electrode", kind: maybe, rec: electrodeRecord, at: in(func(e *Earthing) any { return optionalOf[Electrode]{&e.Electrode} }),
		when: ttOnly, why: "only a TT installation relies on an electrode of its own"},
	{key: "supply-cable", kind: textField, prose: true, at: in(func(e *Earthing) any { return &e.SupplyCable }),
		when: ttOnly, why: "only where an outbuilding has its own electrode is the feeding cable's earth kept apart"},
}}

func ttOnly(r *Rig, _ any) bool { return r.Supply.Earthing == TT }

var bondRecord = &record{name: "bond", inline: true, fields: []*field{
	id("id", func(b *Bond) any { return &b.ID }),
	prose(text("to", func(b *Bond) any { return &b.To })),
	prose(text("clamp", func(b *Bond) any { return &b.Clamp })),
	measure("size", quantity.SquareMillimetre, func(b *Bond) any { return &b.MM2 }),
	measure("length", quantity.Metre, func(b *Bond) any { return &b.LengthM }),
}}

var electrodeRecord = &record{name: "electrode", inline: true, fields: []*field{
	labelled(word("kind", fixed("rod", "plate", "tape", "structure"), func(e *Electrode) any { return &e.Kind })),
	measure("resistance", quantity.Ohm, func(e *Electrode) any { return &e.Ohm }),
}}
