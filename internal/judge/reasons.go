package judge

import (
	"maps"
	"strings"
)

// common are the values every reason carries: the reading as shown, the point
// and the pair; each may be empty.
const common = "value point pair"

// ids lists every reason with the values it carries besides the common ones.
// A reason that is not here is a bug that a test finds.
var ids = map[string]string{
	"negative-reading": "name shown",

	"continuity-fits": "path expected basis", "continuity-high": "path expected basis gap", "continuity-low": "path expected basis gap",
	"continuity-far-high": "path expected basis gap", "continuity-no-path": "path expected basis gap", "continuity-open": "path", "continuity-nothing-to-compare": "path", "continuity-method-2": "",

	"bonding-fits": "expected basis allowed", "bonding-high": "expected basis allowed", "bonding-far-high": "expected basis allowed",
	"bonding-small": "allowed", "bonding-nothing-to-compare": "", "bonding-open": "",

	"ring-ends-match": "r1 rn gap allowed higher", "ring-ends-apart": "r1 rn gap allowed higher", "ring-ends-far-apart": "r1 rn gap allowed higher",
	"ring-ends-crossed": "r1 rn r2 both free", "ring-ends-joined": "which floor", "ring-ends-open": "which", "ring-ends-all-open": "",
	"ring-r2-fits": "r2 expected ratio", "ring-r2-high": "r2 expected ratio", "ring-r2-low": "r2 expected ratio", "ring-r2-far-high": "r2 expected ratio",
	"ring-r2-nothing-to-compare": "r2",

	"ring-crossed-flat": "low high even shared", "ring-crossed-flat-cpc": "low high even shared", "ring-crossed-one-high": "low high which shared", "ring-crossed-some-high": "low high which shared",
	"ring-crossed-row-high": "low high which shared row", "ring-crossed-low": "low high which shared", "ring-crossed-far-low": "low high which shared",
	"ring-crossed-open": "which", "ring-crossed-all-open": "",

	"insulation-good": insulationParams, "insulation-over-range": insulationParams, "insulation-under-advice": insulationParams,
	"insulation-voltage-low": insulationParams, "insulation-equipment-pair": insulationParams, "insulation-range-short": insulationParams,
	"insulation-together-low": insulationParams + " circuits", "insulation-connected-full-voltage": insulationParams, "insulation-low": insulationParams,
	"insulation-live-low": insulationParams, "insulation-only-live-low": insulationParams, "insulation-earth-low": insulationParams,
	"insulation-only-earth-low": insulationParams, "insulation-neutral-earth-low": insulationParams, "insulation-reduced-voltage": insulationParams,
	"insulation-line-earth-contact": insulationParams, "insulation-neutral-earth-contact": insulationParams, "insulation-earth-contact": insulationParams,

	"ze-within": zeParams, "ze-high": zeParams, "ze-far-high": zeParams, "ze-nothing-to-compare": zeParams, "ze-open": "",

	"earthing-within": earthingParams, "earthing-unstable": earthingParams, "earthing-no-rating": earthingParams, "earthing-too-good": earthingParams,
	"earthing-above": earthingParams, "earthing-open": earthingParams,

	"zs-within": zsParams, "zs-between-roundings": zsParams, "zs-no-trip-uplift": zsParams + " sum", "zs-above-rcd-named": zsParams, "zs-above": zsParams, "zs-calculated-above": zsParams,
	"zs-open": "device", "zs-above-sum": "sum gap allowed", "zs-below-sum": "sum gap allowed", "zs-computed": "device",
	"zs-only-5s-row": "device row wanted how", "zs-stricter-row": "device row wanted how", "zs-row-too-slow": "device row wanted how",

	"pfc-within": pfcParams, "pfc-within-assembly": pfcParams, "pfc-above": pfcParams, "pfc-nothing-to-compare": pfcParams,
	"pfc-over-range": "", "pfc-over-range-above": "limit", "pfc-loop-open": "",

	"rcd-stayed-on": rcdParams, "rcd-tripped-at-half": rcdParams, "rcd-no-trip": rcdParams, "rcd-in-time": rcdParams, "rcd-in-band": rcdParams,
	"rcd-too-fast": rcdParams, "rcd-slow": rcdParams, "rcd-slow-waveform": rcdParams + " type",

	"ramp-in-band": rampParams, "ramp-at-lower-end": rampParams, "ramp-early": rampParams, "ramp-late": rampParams, "ramp-no-trip": rampParams,

	"voltage-inside": "low high", "voltage-outside": "low high", "voltage-neutral-earth": "low high", "voltage-neutral-earth-high": "low high",
	"voltage-nothing": "low high", "voltage-over-range": "low high", "voltage-dead": "", "voltage-not-dead": "",
}

const (
	insulationParams = "limit advice voltage right"
	zeParams         = "limit kind system gap"
	earthingParams   = "what limit rated advice low"
	zsParams         = "device limit rounded table kind gap rcd how"
	pfcParams        = "current breaking assembly single factor"
	rcdParams        = "rated current multiple delay low high"
	rampParams       = "rated low high waveform"
)

// Reasons lists every reason id with the names of the values it carries.
func Reasons() map[string][]string {
	out := make(map[string][]string, len(ids))
	for id, params := range maps.All(ids) {
		out[id] = strings.Fields(common + " " + params)
	}
	return out
}

// Steps lists every id of what to do next.
func Steps() []string {
	return strings.Fields(`next-null-again
		next-find-open-path next-find-open-cpc next-null-and-repeat next-check-point next-find-high-joint next-give-length
		next-find-open-bond next-clean-clamp
		next-part-ends next-part-joins next-find-open-leg next-pair-ends next-tighten-leg next-look-at-cpc next-give-sizes
		next-check-joins next-check-joins-then-legs next-check-that-point next-spur-or-terminal next-swap-joins
		next-discharge next-split next-repeat-voltage next-join-line-neutral next-repeat-reduced next-higher-range next-loads-out next-find-contact next-halve-circuit
		next-reconnect-earthing next-ask-distributor next-ze-connections
		next-repeat-zs next-zs-another-way next-zs-device next-zs-parts next-zs-earthing next-zs-open next-zs-check-sum next-zs-check-path next-ask-supervisor
		next-record-earthing next-name-largest-rcd next-improve-electrode next-lift-earthing next-electrode-connection
		next-pfc-assembly next-read-device-ka next-stop-and-ask
		next-rcd-at-device next-rcd-leakage next-rcd-type next-rcd-waveform
		next-prove-again next-prove-indicator next-supply-polarity next-stop-isolate
		next-record next-record-highest next-record-larger next-record-slowest next-record-three-phase`)
}

// Labels lists the ids that the command's own lines use, and those that stand
// as values in reasons.
func Labels() []string {
	return strings.Fields(`outcome-pass outcome-doubt outcome-fail label-reading label-expected label-limit label-max label-min label-margin
		label-next label-edition judge-closing
		path-1 path-2 basis-commissioned basis-network basis-ring-ends basis-length kind-ze_declared kind-ze_typical
		zs-kind-measured zs-kind-operating zs-read zs-works-out what-electrode what-ze what-zs delay-general delay-S waveform-ac waveform-pulsating`)
}
