package server

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/web/page"
	"axlestand/web/route"
	"axlestand/web/ui"
)

func (s *Server) donorShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	sheet, err := s.store.DonorSheet(r.Context(), id)
	if err != nil {
		return err
	}
	made, err := s.plan(r.Context())
	if err != nil {
		return err
	}
	p := made.planned
	account, err := sheet.Account(garage.DateOf(p.Now))
	if err != nil {
		return err
	}
	frees, err := workedOut(made, fmt.Sprint("donor ", id), func() (page.DonorFrees, error) { return p.DonorFrees(id) })
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, page.Donor(page.NewDonor(s.base(r, "Donor: "+sheet.Car.Name, ui.NavCars), sheet, account, frees, p)))
}

func (s *Server) donorLedgerShow(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	sheet, err := s.store.DonorSheet(r.Context(), id)
	if err != nil {
		return err
	}
	return s.donorLedgerForm(w, r, http.StatusOK, sheet, page.NewDonorLedgerForm(sheet.Ledger))
}

func (s *Server) donorLedgerForm(w http.ResponseWriter, r *http.Request, status int, sheet garage.DonorSheet, form page.DonorLedgerForm) error {
	v := page.DonorLedgerView{Base: s.base(r, "Donor: "+sheet.Car.Name, ui.NavCars), Car: sheet.Car, Currency: sheet.Ledger.Currency, Form: form}
	return s.render(w, r, status, page.DonorLedgerEdit(v))
}

func (s *Server) donorLedgerUpdate(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[garage.CarID](r, "id")
	if err != nil {
		return err
	}
	values, err := readForm(w, r)
	if err != nil {
		return err
	}
	sheet, err := s.store.DonorSheet(r.Context(), id)
	if err != nil {
		return err
	}
	form := page.ReadDonorLedgerForm(values)
	ledger := form.Ledger(sheet.Ledger)
	if len(form.Errors) > 0 {
		return s.donorLedgerForm(w, r, http.StatusUnprocessableEntity, sheet, form)
	}
	err = s.store.UpdateDonorLedger(r.Context(), ledger)
	switch {
	case errors.Is(err, garage.ErrConflict):
		return s.conflict(w, r, sheet.Car.Name, sheet.Ledger.Version, route.Donor(id), form.Conflict(page.NewDonorLedgerForm(sheet.Ledger)))
	case refused(err, &form.Errors):
		return s.donorLedgerForm(w, r, http.StatusUnprocessableEntity, sheet, form)
	case err != nil:
		return err
	}
	return s.redirect(w, r, route.Donor(id), ui.Flash{Text: "Saved."})
}

// donorSales are the sales of donors.
func (s *Server) donorSales() *noun[garage.DonorSaleID, garage.DonorSale, page.DonorSaleForm] {
	return &noun[garage.DonorSaleID, garage.DonorSale, page.DonorSaleForm]{
		s: s,
		fresh: func(r *http.Request) (garage.DonorSale, page.DonorSaleForm, error) {
			id, err := pathID[garage.CarID](r, "id")
			if err != nil {
				return garage.DonorSale{}, page.DonorSaleForm{}, err
			}
			sheet, err := s.store.DonorSheet(r.Context(), id)
			if err != nil {
				return garage.DonorSale{}, page.DonorSaleForm{}, err
			}
			settings, err := s.store.Settings(r.Context())
			return garage.DonorSale{CarID: id, Currency: sheet.Ledger.Currency}, page.DonorSaleForm{SoldOn: s.today(settings).String()}, err
		},
		typed: func(_ *http.Request, over garage.DonorSale, sent url.Values) (garage.DonorSale, page.DonorSaleForm, error) {
			form := page.ReadDonorSaleForm(sent)
			return form.Sale(over), form, nil
		},
		form: func(r *http.Request, of garage.DonorSale, form page.DonorSaleForm) (templ.Component, error) {
			car, err := s.store.Car(r.Context(), of.CarID)
			if err != nil {
				return nil, err
			}
			shelf, err := s.store.DonorShelf(r.Context(), of.CarID)
			title := titled("Something was sold", of.ID, "Change a sale")
			return page.DonorSaleEdit(page.DonorSaleView{Base: s.base(r, title, ui.NavCars), Sale: of, CarName: car.Name, Form: form, Shelf: shelf}), err
		},
		filled: page.NewDonorSaleForm,
		errors: func(f *page.DonorSaleForm) *garage.FieldErrors { return &f.Errors },
		conflict: func(_ *http.Request, stored garage.DonorSale, f page.DonorSaleForm) ([]page.ConflictRow, error) {
			return f.Conflict(page.NewDonorSaleForm(stored)), nil
		},
		about: func(v garage.DonorSale) entry[garage.DonorSaleID] {
			return entry[garage.DonorSaleID]{v.ID, v.Version, v.What, route.Donor(v.CarID)}
		},
		added: " is noted.", gone: func(v garage.DonorSale) string { return route.Donor(v.CarID) }, restored: route.DonorSaleRestore[garage.DonorSaleID],
		get: s.store.DonorSale, create: s.store.CreateDonorSale, update: s.store.UpdateDonorSale,
		delete: s.store.DeleteDonorSale, restore: s.store.RestoreDonorSale,
	}
}
