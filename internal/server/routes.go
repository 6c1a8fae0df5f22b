package server

import (
	"net/http"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"axlestand/internal/garage"
	"axlestand/web"
	"axlestand/web/page"
	"axlestand/web/route"
)

// routes is every address of the program.
func (s *Server) routes() http.Handler {
	m := chi.NewRouter()
	// Compressing is safe: no page holds a secret that a visitor's own words could be used to guess.
	compress := middleware.Compress(5, "text/html", "text/css", "text/javascript", "image/svg+xml")
	m.Use(s.logged, s.doors, s.crossOrigin, compress, middleware.GetHead)
	m.NotFound(s.handle(s.notFound))
	m.MethodNotAllowed(s.handle(s.methodNotAllowed))

	// These answer before the garage is claimed; nothing else does.
	m.Get("/healthz", s.handle(s.healthz))
	m.Get("/readyz", s.handle(s.readyz))
	m.Method(http.MethodGet, route.Static()+"*", s.static())
	m.Get(route.Worker(), s.worker)
	m.Post("/theme", s.handle(s.theme))
	m.Get("/claim", s.handle(s.claimShow))
	m.Post("/claim", s.handle(s.claimCreate))

	// These answer without a sign-in.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly)
		m.Get("/signin", s.handle(s.signinShow))
		m.Post("/signin", s.handle(s.signinCreate))
		m.Get("/enter", s.handle(s.enterShow))
		m.Post("/enter", s.handle(s.enterCreate))
	})

	// These answer a helper, who has no more than a link.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly)
		m.Get("/help", s.handle(s.helpGone))
		m.Get("/help/with/{token}", s.handle(s.helpWith))
		m.Post("/help/start", s.handle(s.helpStart))
		m.Group(func(m chi.Router) {
			m.Use(s.helperOnly, s.once)
			m.Get("/help/{link}", s.handle(s.helpShow))
			m.Get("/help/{link}/jobs/{id}/card", s.handle(s.cardShow))
			m.Get("/help/{link}/jobs/{id}/card/count", s.handle(s.cardCount))
			m.Get("/help/{link}/jobs/{id}/card/live", s.handle(s.cardStream))
			m.Get("/help/{link}/jobs/{id}/rounds", s.handle(s.roundIndex))
			m.Post("/help/{link}/steps/{id}/mark", s.handle(s.stepMark))
			m.Post("/help/{link}/steps/{id}/undo", s.handle(s.stepUndo))
		})
	})

	// The owner is asked for the password again, unless it was shown lately, before these.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly, s.ownerOnly, s.sureOnly, s.once)
		m.Post("/account/signins/delete", s.handle(s.signinDelete))
		m.Post("/account/signins/delete-others", s.handle(s.signinDeleteOthers))
		m.Post("/links", s.handle(s.linkCreate))
	})

	// Everything else is the owner's alone.
	m.Group(func(m chi.Router) {
		m.Use(s.claimedOnly, s.ownerOnly, s.replans, s.uploads, s.once)

		m.Get("/", s.handle(s.todayShow))
		m.Get("/together", s.handle(s.togetherShow))
		m.Get("/plan", s.handle(s.planShow))
		m.Get("/plan/frees", s.handle(s.planFrees))
		m.Get("/plan/longer", s.handle(s.planLonger))
		m.Post("/plan/longer", s.handle(s.planTake))
		m.Get("/plan/chances", s.handle(s.planChances))
		m.Get("/jobs/{id}/why", s.handle(s.jobWhy))
		m.Get("/jobs/{id}/chance", s.handle(s.jobChance))
		m.Get("/plan/what-if", s.handle(s.whatIfShow))
		m.Get("/plan/what-if/chances", s.handle(s.whatIfChances))
		m.Post("/plan/what-if", s.handle(s.whatIfKeep))
		m.Get("/more", s.handle(s.more))

		// account
		m.Get("/account", s.handle(s.accountShow))
		m.Post("/account/password", s.handle(s.passwordUpdate))
		m.Post("/signout", s.handle(s.signout))

		// helper link
		m.Get("/links", s.handle(s.linkIndex))
		m.Get("/links/new", s.handle(s.linkNew))
		m.Post("/links/revoke-all", s.handle(s.linkRevokeAll))
		m.Get("/links/{id}", s.handle(s.linkShow))
		m.Post("/links/{id}/revoke", s.handle(s.linkRevoke))
		m.Post("/links/{id}/undo-work", s.handle(s.linkUndoWork))

		// car
		m.Get("/cars", s.handle(s.carIndex))
		m.Post("/cars", s.handle(s.carCreate))
		m.Get("/cars/new", s.handle(s.carNew))
		m.Get("/cars/{id}", s.handle(s.carShow))
		m.Post("/cars/{id}", s.handle(s.carUpdate))
		m.Get("/cars/{id}/edit", s.handle(s.carEdit))
		m.Post("/cars/{id}/move", s.handle(s.carMove))
		m.Post("/cars/{id}/vin", s.handle(s.carVIN))
		m.Post("/cars/{id}/delete", s.handle(s.carDelete))
		m.Post("/cars/{id}/restore", s.handle(s.carRestore))

		// odometer
		m.Get("/cars/{id}/odometer", s.handle(s.odometerShow))
		m.Post("/cars/{id}/odometer", s.handle(s.readingCreate))
		m.Post("/cars/{id}/odometer/{reading}/reverse", s.handle(s.readingReverse))

		// road need
		m.Post("/cars/{id}/road-needs", s.handle(s.roadNeedCreate))
		m.Get("/cars/{id}/road-needs/new", s.handle(s.roadNeedNew))
		m.Post("/road-needs/{id}", s.handle(s.roadNeedUpdate))
		m.Get("/road-needs/{id}/edit", s.handle(s.roadNeedEdit))
		m.Post("/road-needs/{id}/delete", s.handle(s.roadNeedDelete))
		m.Post("/road-needs/{id}/restore", s.handle(s.roadNeedRestore))

		// access
		m.Post("/cars/{id}/access", s.handle(s.accessCreate))
		m.Get("/cars/{id}/access/new", s.handle(s.accessNew))
		m.Post("/access/{id}", s.handle(s.accessUpdate))
		m.Get("/access/{id}/edit", s.handle(s.accessEdit))
		m.Post("/access/{id}/open", s.handle(s.accessOpen))
		m.Post("/access/{id}/delete", s.handle(s.accessDelete))
		m.Post("/access/{id}/restore", s.handle(s.accessRestore))

		// closing work
		m.Post("/cars/{id}/closing", s.handle(s.closingCreate))
		m.Get("/cars/{id}/closing/new", s.handle(s.closingNew))
		m.Post("/closing/{id}", s.handle(s.closingUpdate))
		m.Get("/closing/{id}/edit", s.handle(s.closingEdit))
		m.Post("/closing/{id}/delete", s.handle(s.closingDelete))
		m.Post("/closing/{id}/restore", s.handle(s.closingRestore))

		// job
		m.Get("/jobs", s.handle(s.jobIndex))
		m.Post("/jobs", s.handle(s.jobCreate))
		m.Get("/jobs/new", s.handle(s.jobNew))
		m.Get("/jobs/{id}", s.handle(s.jobShow))
		m.Post("/jobs/{id}", s.handle(s.jobUpdate))
		m.Get("/jobs/{id}/edit", s.handle(s.jobEdit))
		m.Get("/jobs/{id}/delete", s.handle(s.jobDeleteShow))
		m.Post("/jobs/{id}/delete", s.handle(s.jobDelete))
		m.Post("/jobs/{id}/restore", s.handle(s.jobRestore))
		m.Get("/jobs/{id}/when", s.handle(s.jobWhenShow))
		m.Post("/jobs/{id}/when", s.handle(s.jobWhen))
		m.Get("/jobs/{id}/close", s.handle(s.jobCloseShow))
		m.Post("/jobs/{id}/close", s.handle(s.jobClose))
		m.Post("/jobs/{id}/reopen", s.handle(s.jobReopen))
		m.Get("/jobs/{id}/take-off", s.handle(s.takeOffShow))
		m.Post("/jobs/{id}/take-off", s.handle(s.takeOff))
		m.Post("/jobs/{id}/put-back", s.handle(s.putBack))

		// card
		m.Get("/jobs/{id}/card", s.handle(s.cardShow))
		m.Get("/jobs/{id}/card/print", s.handle(s.cardPrint))
		m.Get("/jobs/{id}/card/count", s.handle(s.cardCount))
		m.Get("/jobs/{id}/card/live", s.handle(s.cardStream))
		m.Post("/jobs/{id}/leave", s.handle(s.jobLeave))
		m.Post("/jobs/{id}/return", s.handle(s.jobReturn))
		m.Post("/steps/{id}/mark", s.handle(s.stepMark))
		m.Post("/steps/{id}/undo", s.handle(s.stepUndo))
		m.Post("/steps/{id}/figure", s.handle(s.stepFigure))
		m.Post("/steps/{id}/wrench", s.handle(s.stepWrench))
		m.Post("/marks/{id}/undo", s.handle(s.markUndo))

		// stage
		m.Post("/jobs/{id}/stages", s.handle(s.stageCreate))
		m.Get("/jobs/{id}/stages/new", s.handle(s.stageNew))
		m.Post("/stages/{id}", s.handle(s.stageUpdate))
		m.Get("/stages/{id}/edit", s.handle(s.stageEdit))
		m.Post("/stages/{id}/move", s.handle(s.stageMove))
		m.Post("/stages/{id}/done", s.handle(s.stageDone))
		m.Post("/stages/{id}/took", s.handle(s.stageTook))
		m.Post("/stages/{id}/undone", s.handle(s.stageUndone))
		m.Post("/stages/{id}/delete", s.handle(s.stageDelete))
		m.Post("/stages/{id}/restore", s.handle(s.stageRestore))

		// need
		m.Post("/stages/{id}/needs", s.handle(s.needCreate))
		m.Get("/stages/{id}/needs/new", s.handle(s.needNew))
		m.Post("/needs/{id}", s.handle(s.needUpdate))
		m.Get("/needs/{id}/edit", s.handle(s.needEdit))
		m.Post("/needs/{id}/delete", s.handle(s.needDelete))
		m.Post("/needs/{id}/restore", s.handle(s.needRestore))
		m.Get("/needs/{id}/alternatives", s.handle(s.alternatives))
		m.Post("/needs/{id}/alternatives", s.handle(s.alternativeOrder))
		m.Post("/needs/{id}/pin", s.handle(s.needPin))
		m.Post("/needs/{id}/unpin", s.handle(s.needUnpin))
		m.Get("/jobs/{id}/kit", s.handle(s.kitShow))
		m.Post("/jobs/{id}/kit", s.handle(s.kitUpdate))
		m.Post("/jobs/{id}/kit/gather", s.handle(s.kitGather))
		m.Post("/jobs/{id}/kit/back", s.handle(s.kitBack))
		m.Post("/jobs/{id}/kit/delete", s.handle(s.kitDelete))

		// follow-up
		follow := s.followUps()
		m.Get("/cars/{id}/follow-ups", s.handle(s.followUpIndex))
		m.Post("/cars/{id}/follow-ups", s.handle(follow.add))
		m.Get("/cars/{id}/follow-ups/new", s.handle(follow.blank))
		m.Post("/follow-ups/{id}", s.handle(follow.change))
		m.Get("/follow-ups/{id}/edit", s.handle(follow.edit))
		m.Post("/follow-ups/{id}/done", s.handle(s.followUpDone))
		m.Post("/follow-ups/{id}/delete", s.handle(follow.remove))
		m.Post("/follow-ups/{id}/restore", s.handle(follow.undo))

		// what is on a card
		m.Get("/jobs/{id}/card/edit", s.handle(s.cardEdit))
		m.Get("/jobs/{id}/card/close-out", s.handle(s.closeOutShow))
		m.Post("/jobs/{id}/card/close-out", s.handle(s.closeOut))
		m.Get("/jobs/{id}/rounds", s.handle(s.roundIndex))
		m.Post("/jobs/{id}/rounds", s.handle(s.roundCreate))
		m.Post("/jobs/{id}/repeat", s.handle(s.jobRepeat))
		m.Post("/rounds/{id}/undo", s.handle(s.roundUndo))
		m.Get("/jobs/{id}/look-back", s.handle(s.lookBackShow))
		m.Post("/jobs/{id}/look-back", s.handle(s.lookBack))
		m.Post("/jobs/{id}/card/paste", s.handle(s.cardPaste))
		m.Post("/jobs/{id}/card/copy", s.handle(s.cardCopy))
		m.Post("/jobs/{id}/card/pattern", s.handle(s.cardPattern))
		m.Post("/card-patterns/{id}/delete", s.handle(s.cardPatternDelete))
		m.Post("/card-patterns/{id}/restore", s.handle(s.cardPatternRestore))
		m.Post("/stages/{id}/steps", s.handle(s.stepCreate))
		m.Get("/stages/{id}/steps/new", s.handle(s.stepNew))
		m.Post("/stages/{id}/mirror", s.handle(s.stageMirror))
		m.Post("/steps/{id}", s.handle(s.stepUpdate))
		m.Get("/steps/{id}/edit", s.handle(s.stepEdit))
		m.Post("/steps/{id}/move", s.handle(s.stepMove))
		m.Post("/steps/{id}/delete", s.handle(s.stepDelete))
		m.Post("/steps/{id}/restore", s.handle(s.stepRestore))

		// phase
		m.Post("/cars/{id}/phases", s.handle(s.phaseCreate))
		m.Get("/cars/{id}/phases/new", s.handle(s.phaseNew))
		m.Get("/phases/{id}", s.handle(s.phaseShow))
		m.Post("/phases/{id}", s.handle(s.phaseUpdate))
		m.Get("/phases/{id}/edit", s.handle(s.phaseEdit))
		m.Post("/phases/{id}/delete", s.handle(s.phaseDelete))
		m.Post("/phases/{id}/restore", s.handle(s.phaseRestore))

		// part on a donor
		m.Post("/cars/{id}/donor-parts", s.handle(s.donorPartCreate))
		m.Get("/cars/{id}/donor-parts/new", s.handle(s.donorPartNew))
		m.Post("/donor-parts/{id}", s.handle(s.donorPartUpdate))
		m.Get("/donor-parts/{id}/edit", s.handle(s.donorPartEdit))
		m.Get("/donor-parts/{id}/off", s.handle(s.donorPartOffShow))
		m.Post("/donor-parts/{id}/off", s.handle(s.donorPartOff))
		m.Post("/donor-parts/{id}/delete", s.handle(s.donorPartDelete))
		m.Post("/donor-parts/{id}/restore", s.handle(s.donorPartRestore))
		m.Get("/cars/{id}/harvest", s.handle(s.harvestNew))
		m.Get("/cars/{id}/donor", s.handle(s.donorShow))
		m.Get("/cars/{id}/donor/ledger", s.handle(s.donorLedgerShow))
		m.Post("/cars/{id}/donor/ledger", s.handle(s.donorLedgerUpdate))
		sales := s.donorSales()
		m.Post("/cars/{id}/sales", s.handle(sales.add))
		m.Get("/cars/{id}/sales/new", s.handle(sales.blank))
		m.Post("/sales/{id}", s.handle(sales.change))
		m.Get("/sales/{id}/edit", s.handle(sales.edit))
		m.Post("/sales/{id}/delete", s.handle(sales.remove))
		m.Post("/sales/{id}/restore", s.handle(sales.undo))
		m.Post("/cars/{id}/harvest", s.handle(s.harvestCreate))

		// part
		m.Get("/parts", s.handle(s.partIndex))
		m.Post("/parts", s.handle(s.partCreate))
		m.Get("/parts/new", s.handle(s.partNew))
		m.Get("/parts/export.csv", s.handle(s.partsExport))
		m.Get("/parts/imports", s.handle(s.partImportNew))
		m.Post("/parts/imports", s.handle(s.partImportCreate))
		m.Get("/parts/imports/{id}", s.handle(s.partImportShow))
		m.Post("/parts/imports/{id}", s.handle(s.partImport))
		m.Post("/parts/imports/{id}/undo", s.handle(s.partImportUndo))
		m.Get("/parts/imports/{id}/wrong.csv", s.handle(s.partImportBad))
		m.Get("/parts/{id}", s.handle(s.partShow))
		m.Post("/parts/{id}", s.handle(s.partUpdate))
		m.Get("/parts/{id}/edit", s.handle(s.partEdit))
		m.Post("/parts/{id}/delete", s.handle(s.partDelete))
		m.Post("/parts/{id}/restore", s.handle(s.partRestore))
		m.Get("/parts/{id}/twin", s.handle(s.partTwinShow))
		m.Post("/parts/{id}/twin", s.handle(s.partTwin))
		m.Post("/parts/{id}/twin/delete", s.handle(s.partTwinDelete))
		m.Get("/parts/{id}/fits", s.handle(s.partFitShow))
		m.Post("/parts/{id}/fits", s.handle(s.partFit))
		m.Post("/fits/{id}/delete", s.handle(s.partFitDelete))
		m.Post("/fits/{id}/restore", s.handle(s.partFitRestore))

		// fitted part
		fitted := s.fitted()
		m.Post("/parts/{id}/fitted", s.handle(fitted.add))
		m.Get("/parts/{id}/fitted/new", s.handle(fitted.blank))
		m.Post("/fitted/{id}", s.handle(fitted.change))
		m.Get("/fitted/{id}/edit", s.handle(fitted.edit))
		m.Post("/fitted/{id}/delete", s.handle(fitted.remove))
		m.Post("/fitted/{id}/restore", s.handle(fitted.undo))

		// stock
		for _, action := range []string{page.StockPut, page.StockTake, page.StockMove, page.StockCount, page.StockSort} {
			m.Get("/parts/{id}/"+action, s.handle(s.stockShow(action)))
			m.Post("/parts/{id}/"+action, s.handle(s.stockDo(action)))
		}
		m.Post("/movements/{id}/reverse", s.handle(s.movementReverse))

		// arrival
		m.Post("/parts/{id}/arrivals", s.handle(s.arrivalCreate))
		m.Get("/parts/{id}/arrivals/new", s.handle(s.arrivalNew))
		m.Post("/arrivals/{id}", s.handle(s.arrivalUpdate))
		m.Get("/arrivals/{id}/edit", s.handle(s.arrivalEdit))
		m.Get("/arrivals/{id}/receive", s.handle(s.receiveShow))
		m.Post("/arrivals/{id}/receive", s.handle(s.receive))
		m.Post("/arrivals/{id}/delete", s.handle(s.arrivalDelete))
		m.Post("/arrivals/{id}/restore", s.handle(s.arrivalRestore))

		// order
		orders, lines := s.orders(), s.orderLines()
		m.Get("/orders", s.handle(s.orderIndex))
		m.Post("/orders", s.handle(orders.add))
		m.Get("/orders/new", s.handle(orders.blank))
		m.Get("/orders/to-order", s.handle(s.toOrder))
		m.Get("/orders/to-order/{id}", s.handle(s.toOrderShow))
		m.Post("/orders/to-order/{id}", s.handle(s.toOrderCreate))
		m.Get("/orders/imports", s.handle(s.orderImportNew))
		m.Post("/orders/imports", s.handle(s.orderImportCreate))
		m.Get("/orders/imports/{id}", s.handle(s.orderImportShow))
		m.Post("/orders/imports/{id}", s.handle(s.orderImport))
		m.Post("/orders/imports/{id}/undo", s.handle(s.orderImportUndo))
		m.Get("/orders/{id}", s.handle(s.orderShow))
		m.Post("/orders/{id}", s.handle(orders.change))
		m.Get("/orders/{id}/edit", s.handle(orders.edit))
		m.Post("/orders/{id}/delete", s.handle(orders.remove))
		m.Post("/orders/{id}/restore", s.handle(orders.undo))
		m.Post("/orders/{id}/lines", s.handle(lines.add))
		m.Get("/orders/{id}/lines/new", s.handle(lines.blank))
		m.Post("/order-lines/{id}", s.handle(lines.change))
		m.Get("/order-lines/{id}/edit", s.handle(lines.edit))
		m.Post("/order-lines/{id}/delete", s.handle(lines.remove))
		m.Post("/order-lines/{id}/restore", s.handle(lines.undo))
		m.Post("/order-lines/{id}/cancel", s.handle(s.orderLineDo(s.store.CancelOrderLine, "It is not expected any more.", route.OrderLineExpect[garage.OrderLineID])))
		m.Post("/order-lines/{id}/expect", s.handle(s.orderLineDo(estimated(s, s.store.ExpectOrderLine), "It is expected again.", nil)))
		m.Get("/arrivals/{id}/send-back", s.handle(s.sendBackShow))
		m.Post("/arrivals/{id}/send-back", s.handle(s.sendBack))
		m.Get("/order-returns/{id}", s.handle(s.orderReturnShow))
		m.Post("/order-returns/{id}", s.handle(s.orderReturnUpdate))

		// supplier
		suppliers := s.suppliers()
		m.Get("/suppliers", s.handle(s.supplierIndex))
		m.Post("/suppliers", s.handle(suppliers.add))
		m.Get("/suppliers/new", s.handle(suppliers.blank))
		m.Get("/suppliers/{id}", s.handle(s.supplierShow))
		m.Post("/suppliers/{id}", s.handle(suppliers.change))
		m.Get("/suppliers/{id}/edit", s.handle(suppliers.edit))
		m.Post("/suppliers/{id}/delete", s.handle(suppliers.remove))
		m.Post("/suppliers/{id}/restore", s.handle(suppliers.undo))

		// core deposit
		cores := s.cores()
		m.Get("/cores", s.handle(s.coreIndex))
		m.Post("/parts/{id}/cores", s.handle(cores.add))
		m.Get("/parts/{id}/cores/new", s.handle(cores.blank))
		m.Get("/cores/{id}", s.handle(s.coreShow))
		m.Post("/cores/{id}", s.handle(cores.change))
		m.Get("/cores/{id}/edit", s.handle(cores.edit))
		m.Post("/cores/{id}/events", s.handle(s.coreEvent))
		m.Post("/cores/{id}/back", s.handle(s.coreBack))
		m.Post("/cores/{id}/unit", s.handle(s.coreUnit))
		m.Post("/cores/{id}/delete", s.handle(cores.remove))
		m.Post("/cores/{id}/restore", s.handle(cores.undo))

		// bin
		m.Get("/bins", s.handle(s.binIndex))
		m.Post("/bins", s.handle(s.binCreate))
		m.Get("/bins/new", s.handle(s.binNew))
		m.Get("/bins/labels", s.handle(s.binLabels))
		m.Get("/bins/{id}", s.handle(s.binShow))
		m.Post("/bins/{id}", s.handle(s.binUpdate))
		m.Get("/bins/{id}/edit", s.handle(s.binEdit))
		m.Post("/bins/{id}/delete", s.handle(s.binDelete))
		m.Post("/bins/{id}/restore", s.handle(s.binRestore))

		// torque spec
		torques := s.torqueSpecs()
		m.Get("/cars/{id}/specs", s.handle(s.torqueSpecIndex))
		m.Post("/cars/{id}/torque", s.handle(torques.add))
		m.Get("/cars/{id}/torque/new", s.handle(torques.blank))
		m.Get("/torque/{id}", s.handle(s.torqueSpecShow))
		m.Post("/torque/{id}", s.handle(torques.change))
		m.Get("/torque/{id}/edit", s.handle(torques.edit))
		m.Post("/torque/{id}/delete", s.handle(torques.remove))
		m.Post("/torque/{id}/restore", s.handle(torques.undo))

		// fluid spec
		fluids := s.fluidSpecs()
		m.Get("/cars/{id}/fluids", s.handle(s.fluidSpecIndex))
		m.Post("/cars/{id}/fluids", s.handle(fluids.add))
		m.Get("/cars/{id}/fluids/new", s.handle(fluids.blank))
		m.Post("/fluids/{id}", s.handle(fluids.change))
		m.Get("/fluids/{id}/edit", s.handle(fluids.edit))
		m.Post("/fluids/{id}/delete", s.handle(fluids.remove))
		m.Post("/fluids/{id}/restore", s.handle(fluids.undo))

		// what a car requires of its wheels
		required := s.requiredWheels()
		m.Post("/cars/{id}/required-wheels", s.handle(required.add))
		m.Get("/cars/{id}/required-wheels/new", s.handle(required.blank))
		m.Post("/required-wheels/{id}", s.handle(required.change))
		m.Get("/required-wheels/{id}/edit", s.handle(required.edit))
		m.Post("/required-wheels/{id}/delete", s.handle(required.remove))
		m.Post("/required-wheels/{id}/restore", s.handle(required.undo))

		// wheel set
		wheels := s.wheelSets()
		m.Get("/cars/{id}/wheels", s.handle(s.wheelIndex))
		m.Post("/cars/{id}/wheels", s.handle(wheels.add))
		m.Get("/cars/{id}/wheels/new", s.handle(wheels.blank))
		m.Post("/wheels/{id}", s.handle(wheels.change))
		m.Get("/wheels/{id}/edit", s.handle(wheels.edit))
		m.Post("/wheels/{id}/delete", s.handle(wheels.remove))
		m.Post("/wheels/{id}/restore", s.handle(wheels.undo))

		// opened bottle
		bottles := s.bottles()
		m.Get("/bottles", s.handle(s.bottleIndex))
		m.Post("/bottles", s.handle(bottles.add))
		m.Get("/bottles/new", s.handle(bottles.blank))
		m.Get("/bottles/{id}/edit", s.handle(bottles.edit))
		m.Post("/bottles/{id}", s.handle(bottles.change))
		m.Post("/bottles/{id}/delete", s.handle(bottles.remove))
		m.Post("/bottles/{id}/restore", s.handle(bottles.undo))

		// wrench
		wrenches := s.wrenches()
		m.Get("/wrenches", s.handle(s.wrenchIndex))
		m.Post("/wrenches", s.handle(wrenches.add))
		m.Get("/wrenches/new", s.handle(wrenches.blank))
		m.Get("/wrenches/{id}/edit", s.handle(wrenches.edit))
		m.Post("/wrenches/{id}", s.handle(wrenches.change))
		m.Post("/wrenches/{id}/delete", s.handle(wrenches.remove))
		m.Post("/wrenches/{id}/restore", s.handle(wrenches.undo))

		// photo
		for kind, at := range map[garage.PhotoKind]string{
			garage.PhotoOfJob: "/jobs/{id}", garage.PhotoOfCar: "/cars/{id}", garage.PhotoOfPart: "/parts/{id}",
			garage.PhotoOfStep: "/steps/{id}", garage.PhotoOfArrival: "/arrivals/{id}", garage.PhotoOfRound: "/rounds/{id}",
			garage.PhotoOfOrder: "/orders/{id}",
		} {
			m.Get(route.Photos(at), s.handle(s.photoIndex(kind)))
			m.Post(route.Photos(at), s.handle(s.photoCreate(kind)))
		}
		m.Get("/photos/{id}", s.handle(s.photoFile(false)))
		m.Get("/photos/{id}/small", s.handle(s.photoFile(true)))
		m.Post("/photo-uses/{id}/delete", s.handle(s.photoUseDelete))
		m.Post("/photo-uses/{id}/restore", s.handle(s.photoUseRestore))

		// settings
		m.Get("/settings", s.handle(s.settingsShow))
		m.Post("/settings", s.handle(s.settingsUpdate))

		// session
		m.Get("/sessions", s.handle(s.sessionIndex))
		m.Get("/sessions/weekly/new", s.handle(s.patternNew))
		m.Post("/sessions/weekly", s.handle(s.patternCreate))
		m.Get("/sessions/weekly/{id}/edit", s.handle(s.patternEdit))
		m.Post("/sessions/weekly/{id}", s.handle(s.patternUpdate))
		m.Post("/sessions/weekly/{id}/delete", s.handle(s.patternDelete))
		m.Get("/sessions/exceptions/new", s.handle(s.exceptionNew))
		m.Post("/sessions/exceptions", s.handle(s.exceptionCreate))
		m.Get("/sessions/exceptions/{id}/edit", s.handle(s.exceptionEdit))
		m.Post("/sessions/exceptions/{id}", s.handle(s.exceptionUpdate))
		m.Post("/sessions/exceptions/{id}/delete", s.handle(s.exceptionDelete))

		// bench
		m.Get("/bench", s.handle(s.benchIndex))
		m.Get("/bench/{name}", s.handle(s.benchShow))

		// tool
		m.Get("/tools", s.handle(s.toolIndex))
		m.Get("/tools/new", s.handle(s.toolNew))
		m.Post("/tools", s.handle(s.toolCreate))
		m.Get("/tools/{id}/edit", s.handle(s.toolEdit))
		m.Post("/tools/{id}", s.handle(s.toolUpdate))
		m.Post("/tools/{id}/delete", s.handle(s.toolDelete))
		m.Post("/tools/{id}/restore", s.handle(s.toolRestore))
	})
	return m
}

// static serves style sheets and scripts, from the disk while developing.
func (s *Server) static() http.Handler {
	if s.options.StaticDir != "" {
		return web.DevHandler(s.options.StaticDir)
	}
	return web.Handler()
}

// worker is the script that browsers keep for pages without a connection. Its address stays the same and lies above all pages, so
// no hash is in it.
func (s *Server) worker(w http.ResponseWriter, r *http.Request) {
	asked := r.Clone(r.Context())
	asked.URL.Path = route.Static() + "newest/worker.js"
	s.static().ServeHTTP(w, asked)
}
