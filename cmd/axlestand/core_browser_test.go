package main

import (
	"testing"

	"axlestand/internal/browsertest"
)

// TestBrowser_core enters a deposit that would be lost as planned, sees it before it is, and saves it in one tap; then a donor's unit
// goes back instead, and the money adds up after a refund in part.
func TestBrowser_core(t *testing.T) {
	t.Parallel()
	for name, look := range map[string][]browsertest.Option{
		"on the phone":                      nil,
		"on the desktop without JavaScript": {browsertest.Desktop, browsertest.NoScript},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t, friday)
			h := hand{s.claim(look...)}
			core, donor := h.enterCore()
			h.savesCore(core)
			h.sendsFromDonor(core, donor)
			h.isRefunded(core)
		})
	}
}

// enterCore enters a car, a donor and a job that is put into the session of 10 April. Worked by hand: bought on 2 March, 30 days, the old
// unit goes out by 1 April.
func (h hand) enterCore() (core, donor string) {
	h.weekly("Saturday", "09:00", "17:00")
	estate := h.car("Tern estate", "daily", func() { h.Fill("Where it stands", "inside") })
	donor = h.car("Tern saloon", "donor", func() { h.Fill("Where it stands", "outside") })
	h.part("Starter motor")
	part := h.URL()
	h.Goto(donor)
	h.In("On this donor").Click("Add a part")
	h.Fill("Part", "Starter motor")
	h.Fill("How many", "1")
	h.Tick("good")
	h.Submit("Save")
	job := h.job(estate, "Exchange starter motor", "1 h 20", nil)
	h.Goto(job + "/when")
	h.Fill("Do it in this session", "Sat 10 Apr, 09:00 to 17:00")
	h.Submit("Save")
	h.Goto(part)
	h.Click("Add a core deposit")
	h.Fill("Supplier", "Polder Exchange")
	h.Fill("Job that frees the old unit", "Exchange starter motor")
	h.Fill("Deposit in EUR", "90")
	h.Fill("Window", "30")
	h.Fill("That day", "2027-03-02")
	h.Submit("Save")
	h.Has("90.00 EUR paid = 0.00 EUR refunded + 0.00 EUR lost + 90.00 EUR outstanding", "Thu 1 Apr 2027, 27 days left")
	h.Shot("cores")
	h.Click("Starter motor")
	return h.URL(), donor
}

// savesCore keeps the plan that saves the deposit, and gives the session back afterwards.
func (h hand) savesCore(core string) {
	h.Goto("/")
	h.Has("90.00 EUR would be lost")
	h.Goto(core)
	h.Has("As planned the old unit comes off on Sat 10 Apr", "90.00 EUR would be lost", "90.00 EUR less lost to lateness")
	h.Fits()
	h.Shot("core-would-be-lost")
	h.Click("Show the plan that saves it")
	h.Has("Exchange starter motor in the session Sat 27 Mar 09:00")
	h.Shot("core-saving-plan")
	h.Submit("Keep it")
	h.Goto(core)
	h.Lacks("would be lost")
	h.Has("Freed by Exchange starter motor")
	h.Click("Exchange starter motor")
	h.Goto(h.URL() + "/when")
	h.Fill("Do it in this session", "Sat 10 Apr, 09:00 to 17:00")
	h.Submit("Save")
	h.Goto(core)
	h.Has("would be lost")
}

// sendsFromDonor sends the donor's unit back, which its harvest frees on the first Saturday.
func (h hand) sendsFromDonor(core, donor string) {
	h.In("May go back instead").Has("Tern saloon")
	h.Submit("Send the one on Tern saloon back")
	h.Has("The unit on the donor goes back.", "No job takes it off yet.", "take the unit off the donor")
	h.Lacks("would be lost")
	h.Shot("core-from-donor")
	h.Click("Plan its harvest")
	h.Tick("Starter motor")
	h.Fill("Name", "Take the starter out")
	h.In("#f-minutes").Fill("low", "30")
	h.In("#f-minutes").Fill("likely", "50")
	h.In("#f-minutes").Fill("high", "90")
	h.Submit("Make the job")
	h.Goto("/cores")
	h.Has("Take the starter out", "a donor's unit, planned to be done Sat 6 Mar 2027")
	h.Lacks("would be lost")
}

// isRefunded follows the unit to a refund in part. Computed: 60 % of 90.00 are 54.00; 36.00 are lost, and 11.90 of freight leave 42.10.
func (h hand) isRefunded(core string) {
	h.Goto(core)
	happens := func(state string, more func()) {
		h.Fill("The unit is", state)
		h.Fill("On", "2027-03-05")
		if more != nil {
			more()
		}
		h.Submit("Note it")
		h.Has("Noted.")
	}
	happens("removed from the car", nil)
	happens("sent", func() { h.Fill("Freight", "11.90") })
	happens("accepted", func() {
		h.Fill("Amount", "54")
		h.Fill("Why", "Cracked nose: 60 %")
	})
	happens("refunded", nil)
	h.Has("90.00 EUR paid: 54.00 EUR refunded, 36.00 EUR lost, 0.00 EUR outstanding", "11.90 EUR freight, 42.10 EUR net")
	h.Fits()
	h.Shot("core-refunded")
	h.Goto("/cores")
	h.Has("90.00 EUR paid = 54.00 EUR refunded + 36.00 EUR lost + 0.00 EUR outstanding")
}
