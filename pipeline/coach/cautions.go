package coach

import "strings"

// The cautions that go with suggestions. Their substance follows the screening
// recommendations of the American College of Sports Medicine (Riebe D et al.,
// Med Sci Sports Exerc 2015;47:2473–2479, read in its abstract and in later
// publications) and the usual reasons to stop an exercise test. They stand in
// one place so that every page says the same.
const (
	// cautionHarder goes with every suggestion that asks for harder work.
	cautionHarder = "Before harder work: ask about known heart, metabolic or kidney disease, symptoms, medication and present activity, " +
		"and have what needs it cleared. Stop and seek medical advice at chest pain or pressure, unusual breathlessness, " +
		"light-headedness or near-fainting, palpitations or an irregular pulse, confusion, or leg pain that forces a halt. " +
		"The clinician's advice and local rules come first."

	// cautionEasier goes with every suggestion to do less because something was
	// not finished or not recovered from, and with a hold for a finding that
	// illness may explain.
	cautionEasier = "Ask first why: symptoms, pain, illness, poor sleep or a new medication come before any plan, " +
		"and some of them need a call to the clinician today."

	// cautionMedication is added for a client whose heart rate is limited.
	cautionMedication = "Medication limits this client's heart rate: heart-rate bands and age-predicted targets do not apply. " +
		"Go by rated exertion and output, or by a test done on the medication, and ask the prescriber before changing intensity."

	// cautionSubmaximal is added when intervals begin.
	cautionSubmaximal = "%s to stay submaximal: the last bout should feel as if another were possible."

	// cautionSlower is added for a client who moves slower through the steps.
	cautionSlower = "This client moves slower through the steps: %s."
)

// SplitCaution parts a row's caution into what concerns this client and what
// goes with every suggestion of harder work, so that many suggestions can stand
// under one caution. Either may be empty; joined they are the caution.
func SplitCaution(caution string) (own, harder string) {
	if own, found := strings.CutSuffix(caution, cautionHarder); found {
		return strings.TrimSpace(own), cautionHarder
	}
	return caution, ""
}
