package edition

// Key names one number of a pack's `values`.
type Key string

// The numbers every pack holds. Those in "%" are parts of the value compared with.
const (
	NominalVoltage     Key = "nominal-voltage"
	LineLineVoltage    Key = "line-line-voltage"
	Cmin               Key = "cmin"
	TouchVoltage       Key = "touch-voltage"
	MeasuredFactor     Key = "measured-factor"
	OperatingFactor    Key = "operating-factor"
	ReferenceTemp      Key = "reference-temperature"
	CopperPerDegree    Key = "copper-per-degree"
	ThreePhaseFactor   Key = "three-phase-factor"
	ContinuityWithin   Key = "continuity-within"
	ContinuityPart     Key = "continuity-within-part"
	ContinuityFail     Key = "continuity-fail"
	ContinuityFailPart Key = "continuity-fail-part"
	BondingAbove       Key = "bonding-above"
	BondingFloor       Key = "bonding-floor"
	BondingFail        Key = "bonding-fail"
	BondingFailPart    Key = "bonding-fail-part"
	EndsWithin         Key = "ring-ends-within"
	EndsPart           Key = "ring-ends-within-part"
	EndsFail           Key = "ring-ends-fail"
	EndsFailPart       Key = "ring-ends-fail-part"
	EndsJoined         Key = "ring-ends-joined"
	R2Within           Key = "ring-r2-within"
	R2Part             Key = "ring-r2-within-part"
	R2Fail             Key = "ring-r2-fail"
	R2FailPart         Key = "ring-r2-fail-part"
	CrossedWithin      Key = "ring-crossed-within"
	CrossedPart        Key = "ring-crossed-within-part"
	CrossedContacts    Key = "ring-crossed-contacts"
	CrossedFail        Key = "ring-crossed-fail"
	CrossedFailPart    Key = "ring-crossed-fail-part"
	CrossedInARow      Key = "ring-crossed-in-a-row"
	InsulationAdvice   Key = "insulation-advice"
	InsulationReduced  Key = "insulation-reduced-voltage"
	ZeFail             Key = "ze-fail"
	ZeFailPart         Key = "ze-fail-part"
	ZsRCDTimes         Key = "zs-rcd-times"
	ZsAbove            Key = "zs-above"
	ZsAbovePart        Key = "zs-above-part"
	ZsAboveHigh        Key = "zs-above-high-current"
	ZsAboveHighPart    Key = "zs-above-high-current-part"
	ZsBelow            Key = "zs-below"
	ZsBelowPart        Key = "zs-below-part"
	ZsNoTripGap        Key = "zs-no-trip-gap"
	ElectrodeAdvice    Key = "electrode-advice"
	ElectrodeLow       Key = "electrode-low"
	VoltageBelow       Key = "voltage-below"
	VoltageAbove       Key = "voltage-above"
	VoltageNE          Key = "voltage-neutral-earth"
	VoltageCommission  Key = "voltage-commissioned"
)

var keys = []string{
	string(NominalVoltage), string(LineLineVoltage), string(Cmin), string(TouchVoltage), string(MeasuredFactor),
	string(OperatingFactor), string(ReferenceTemp), string(CopperPerDegree), string(ThreePhaseFactor),
	string(ContinuityWithin), string(ContinuityPart), string(ContinuityFail), string(ContinuityFailPart),
	string(BondingAbove), string(BondingFloor), string(BondingFail), string(BondingFailPart),
	string(EndsWithin), string(EndsPart), string(EndsFail), string(EndsFailPart), string(EndsJoined),
	string(R2Within), string(R2Part), string(R2Fail), string(R2FailPart),
	string(CrossedWithin), string(CrossedPart), string(CrossedContacts), string(CrossedFail), string(CrossedFailPart),
	string(CrossedInARow), string(InsulationAdvice), string(InsulationReduced), string(ZeFail), string(ZeFailPart),
	string(ZsRCDTimes), string(ZsAbove), string(ZsAbovePart), string(ZsAboveHigh), string(ZsAboveHighPart),
	string(ZsBelow), string(ZsBelowPart), string(ZsNoTripGap), string(ElectrodeAdvice), string(ElectrodeLow),
	string(VoltageBelow), string(VoltageAbove), string(VoltageNE), string(VoltageCommission),
}

// Keys lists the ids of every number a pack holds, in the order of this file.
func Keys() []string { return append([]string(nil), keys...) }

// Entry gives one number with its source and status.
func (p *Pack) Entry(k Key) Entry { return p.values[k] }

// Num gives one number alone, in the unit of its entry.
func (p *Pack) Num(k Key) float64 { return p.values[k].Value }

// Larger is the larger of an absolute allowance and a part (in %) of base: the
// form in which most thresholds are given.
func (p *Pack) Larger(absolute, part Key, base float64) float64 {
	return max(p.Num(absolute), p.Part(part, base))
}

// Part is the % entry k of base.
func (p *Pack) Part(k Key, base float64) float64 { return base * p.Num(k) / 100 }
