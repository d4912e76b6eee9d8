/**
 * The public surface of the core, grouped by room in the order of the job. Named exports only,
 * written by hand: what is not here is private.
 */

// errors
export { FormatError, InputError, ModelError, isCamerawrightError, requirePositive, unreachable } from './errors.ts';
export type { ErrorCode, ErrorDetails } from './errors.ts';

// units
export { degreesToRad, formatAngle, parseAngle, radToDegrees } from './units/angle.ts';
export type { ParsedAngle } from './units/angle.ts';
export { counted, formatNumber, formatWithUncertainty } from './units/figures.ts';
export type { NumberFormat, UncertaintyFormat } from './units/figures.ts';
export { MM_PER_INCH, MM_PER_THOU, UM_PER_MM, formatLength, otherUnit, parseLength } from './units/length.ts';
export type { LengthFormat, LengthUnit, ParseLengthOptions, ParsedLength, ShownUnit } from './units/length.ts';

// geometry
export { leastSquaresCircle, maximumInscribedCircle, minimumCircumscribedCircle, minimumZoneCircles } from './geometry/circles.ts';
export { convexHull, feretWidths } from './geometry/hull.ts';
export type { FeretWidths } from './geometry/hull.ts';
export { polygonArea, polygonPerimeter } from './geometry/points.ts';
export type { CircleFit, Point, ZoneFit } from './geometry/points.ts';

// optics
export { DEFAULT_LOSS_SHARE, bandCost, bestHole, suitedFocalLength } from './optics/best-hole.ts';
export type { BandCost, BestHole, BestHoleQuestion, SuitedFocalLength } from './optics/best-hole.ts';
export {
  bandCostInLight,
  bestHoleInLight,
  finestDetailPerMm,
  holesInLight,
  sharpestDiameter,
  suitedFocalLengthInLight,
} from './optics/best-hole-colour.ts';
export type { BestHoleInLight, HolesInLight, HolesQuestion, LightHoleQuestion } from './optics/best-hole-colour.ts';
export { diffractionDistanceMm, diffractionLengthMm, fresnelNumber } from './optics/conjugates.ts';
export type { Conjugates } from './optics/conjugates.ts';
export { CRITERIA, CRITERION_IDS, DEFAULT_CRITERION, criterionFacts, parseCriterion } from './optics/criteria.ts';
export type { Criterion, CriterionFacts } from './optics/criteria.ts';
export { cutoffFrequencyPerMm, limitingFrequencyPerMm } from './optics/round-hole.ts';
export type { RoundHole } from './optics/round-hole.ts';
export { edgeIntegral } from './optics/edge-integral.ts';
export type { EdgeIntegral, ShapedHoleView } from './optics/edge-integral.ts';
export { ellipseShape, outlineShape, rectangleShape, roundShape, shapeAreaMm2, turnedShape } from './optics/hole-shape.ts';
export type { EllipseRim, HoleShape, PolygonRim, RimPoint } from './optics/hole-shape.ts';
export {
  COLOUR_FILTERS,
  FILM_RESPONSES,
  LIGHT_SOURCES,
  channelShares,
  colourFilter,
  filmLight,
  filmResponse,
  lightColourStops,
  lightSource,
  likelyResponse,
  responseFromCsv,
} from './optics/film-light.ts';
export type {
  ColourFilter,
  ColourFilterId,
  FilmLightQuestion,
  FilmResponse,
  FilmResponseId,
  LightSource,
  LightSourceId,
  SpectrumPoint,
} from './optics/film-light.ts';
export { encircledShare, roundOtf, roundPointImage } from './optics/round-point-image.ts';
export type { RoundHoleView } from './optics/round-point-image.ts';
export { meanWavelengthNm, mixedLight, oneWavelength } from './optics/seen-light.ts';
export type { SeenLight, SpectralLine } from './optics/seen-light.ts';
export { shapeImage } from './optics/shape-image.ts';
export type { ImageGrid, ShapeImage } from './optics/shape-image.ts';
export { shapeOtf } from './optics/shape-otf.ts';
export type { ShapeOtf } from './optics/shape-otf.ts';
export { slantedView } from './optics/slanted-view.ts';
export type { Slant } from './optics/slanted-view.ts';
export { countersunkShare, thickHoleShare } from './optics/thick-hole.ts';
export type { Countersink } from './optics/thick-hole.ts';
export type { HoleView } from './optics/view.ts';

// sky
export { moonLightLux, sunLightLux } from './sun/twilight.ts';

// camera
export {
  boxDepth,
  focalLengthFromInsideDepthMm,
  focalLengthFromOutsideDepthMm,
  insideDepthMm,
} from './camera/box.ts';
export type { BoxDepth, FilmSeat } from './camera/box.ts';
export { DEFAULT_WAVELENGTH_NM, lightOfFilm, lightOfResponse, lightOfWavelength } from './camera/camera-light.ts';
export type { CameraLight } from './camera/camera-light.ts';
export { describeCamera, holeInWords } from './camera/describe.ts';
export type { CameraDescription, CameraQuestion } from './camera/describe.ts';
export { filmAngleRad, filmSight } from './camera/film-plane.ts';
export type { FilmSight } from './camera/film-plane.ts';
export { cutDirection, filmCut } from './camera/film-cut.ts';
export type { CutAlong, CutDirection, CutPoint } from './camera/film-cut.ts';
export { falloffAt, falloffMap, frameFalloff } from './camera/falloff.ts';
export type { FalloffAt, FalloffMap, FrameFalloff, ThickPlate } from './camera/falloff.ts';
export { SMALL_FRAME, centredCamera, diagonalMm, fieldOfView, sceneAreaAt } from './camera/field-of-view.ts';
export type { CornerView, FieldOfView, SceneArea } from './camera/field-of-view.ts';
export { FORMATS, HOLDERS, SHEET_FILM_THICKNESS_MM, formatById, holderFor } from './camera/formats.ts';
export type { AreaBound, FilmFormat, FilmHolder, FormatKind } from './camera/formats.ts';
export { CENTRED, FILM_PLANES, distanceFromFootMm, frameCorners, frameEdgeMiddles } from './camera/geometry.ts';
export type { CameraGeometry, CornerName, EdgeName, FilmPlane, FilmPoint, Frame } from './camera/geometry.ts';
export { focalLengthForAngleMm, focalLengthForObjectMm, objectDistanceToFillMm } from './camera/solve.ts';
export type { AngleAlong, AngleQuestion, ObjectQuestion } from './camera/solve.ts';

// front
export { bestBevel, openingNeeds, otherWays, smallestRoundOpeningMm, thickestLayerMm } from './front/openings.ts';
export type { BevelAdvice, OpeningNeed } from './front/openings.ts';
export type { FrontHole } from './front/hole.ts';
export type { Bevel, Layer, LayerFace, LayerTolerance, Opening } from './front/layer.ts';
export { clearHalfWidthMm, clippingOfLiftMm, flatWedgeAlarmMm, gauge, viewLimits } from './front/gauge.ts';
export type { Gauge, GaugePlane, GaugePoint, GaugeQuestion, ViewLimit } from './front/gauge.ts';
export { sightingPins, viewLines, wireFrame } from './front/finder.ts';
export type { BoxFaces, BoxPoint, SightingPins, ViewLine, ViewLines, WireFrame } from './front/finder.ts';
export { cutOffAngleRad, thickestEdgeMm } from './front/plate-limit.ts';
export { holeBoard, imageOverlaps, readPlaces, septum } from './front/several-holes.ts';
export type { BoardSeptum, FrameOverlap, HoleBoard, HoleInBoard, ImageOverlap, Septum, SeptumQuestion } from './front/several-holes.ts';
export { toleranceAnswer } from './front/tolerances.ts';
export type { ToleranceAnswer, ToleranceEffect, TolerancePart } from './front/tolerances.ts';
export { askedParts } from './front/parts.ts';
export type { AskedParts, DecidedParts } from './front/parts.ts';
export { plateSeat } from './front/seat.ts';
export type { Seat, SeatQuestion } from './front/seat.ts';
export { DEFAULT_OVERLAP_MM, DEFAULT_PLAY_MM, openSpareMm, pivotLever, slidingShutter, swingingFlap } from './front/shutter.ts';
export type { PivotLever, Slide, SlideQuestion, SwingQuestion, SwingingFlap } from './front/shutter.ts';
export { contourLines } from './front/contours.ts';
export type { ContourLine } from './front/contours.ts';
export { seeded } from './numeric/seeded.ts';
export { CUTTER_SETS, cutterFor, cutterSet, cuttersFrom, readCutters } from './front/cutters.ts';
export type { Cutter, CutterSet } from './front/cutters.ts';
export { CAUSE_WORDS, MAP_CAUSES, contourStops, flatFieldTiff, lostStops, mapPng, mapSvg, mapTable, turnedSamples } from './front/map-files.ts';
export type { MapCause, MapView } from './front/map-files.ts';
export { frontReport, openingInWords } from './front/report.ts';
export type { FrontReport, ReportOptions } from './front/report.ts';
export { withHoleMoved, withOpening, withThickness } from './front/what-if.ts';
export { faceView } from './front/face-view.ts';
export type { FaceView } from './front/face-view.ts';
export { stackCut, viewAt } from './front/section-cut.ts';
export type { CutEdge, LayerCut, StackCut } from './front/section-cut.ts';
export { parseFrontStack } from './front/stack-file.ts';
export type { FrontStack } from './front/stack-file.ts';
export { clearCircleMm, cornerTransmission, transmissionAt, transmissionMap, transmissionMapByRows } from './front/transmission.ts';
export type { CornerLoss, FrontQuestion, PlateEdge, PointTransmission, TransmissionMap } from './front/transmission.ts';

// plate
export { judgeHole } from './plate/verdict.ts';
export type { HoleQuestion, HoleVerdict, VerdictWord } from './plate/verdict.ts';
export { editedByHand } from './plate/hand-edits.ts';
export { pixelStops } from './plate/hole.ts';
export { measureScan } from './plate/measure.ts';
export type { MeasureOptions } from './plate/measure.ts';
export { middleBetween, middleOf } from './plate/plate-middle.ts';
export type { KnownMiddle } from './plate/plate-middle.ts';
export { rasterSource, readWindow } from './plate/raster-source.ts';
export { findRuler, requireLikelyDivision, rulerScale } from './plate/ruler.ts';
export type { RulerMarks, RulerReading } from './plate/ruler.ts';
export { combineScans } from './plate/same-plate.ts';
export type { NamedUncertainty, SamePlate, ScanOfPlate } from './plate/same-plate.ts';
export { scaleOfEnds } from './plate/two-ends.ts';
export type { PlacePx, TwoEnds } from './plate/two-ends.ts';
export { estimateTone, lightOfValue } from './plate/tone.ts';
export type { ToneEstimate } from './plate/tone.ts';
export type {
  BudgetLine,
  Burr,
  CancelCheck,
  Circle,
  Debris,
  EdgeTerm,
  EllipsePart,
  HandEdit,
  HoleReading,
  Illumination,
  Lobes,
  PixelSource,
  PixelWindow,
  MarkedMiddle,
  PlateMiddle,
  PointMm,
  Polarity,
  Progress,
  Raster,
  ScaleSource,
  ScanFacts,
  ScanReading,
  ScanScale,
  ToneCurve,
  ToneSource,
} from './plate/scan.ts';

// picture
export { bestDiameter } from './picture/best-diameter.ts';
export type { DiameterAnswer, DiameterQuestion, PictureAim } from './picture/best-diameter.ts';
export { contrastAt, fieldContrast } from './picture/field-contrast.ts';
export type { FieldContrast, FieldView, PlaceContrast } from './picture/field-contrast.ts';
export { filmRay } from './picture/film-ray.ts';
export type { FilmRay } from './picture/film-ray.ts';
export { compareHoles, pictureInWords, shapeFinestPerMm } from './picture/in-words.ts';
export type { HoleComparison, PictureFigures } from './picture/in-words.ts';
export { photograph } from './picture/photograph.ts';
export type { Photograph, PhotographQuestion, ScenePhotograph } from './picture/photograph.ts';
export { printGainStops, printTone, printTone16 } from './picture/print.ts';
export type { PrintTone } from './picture/print.ts';
export { pointImage } from './picture/shadow-kernel.ts';
export type { GreyPicture } from './picture/zone-blur.ts';

// exposure
export { exposureTime } from './exposure/exposure-time.ts';
export type {
  AlternateTime,
  ExposureAnswer,
  ExposureLink,
  ExposureQuestion,
  Light,
  LinkName,
  ReciprocityState,
} from './exposure/answer.ts';
export { CARD_SCENES, CARD_SIGNS, cameraCard, cellWords, classBoard } from './exposure/cards.ts';
export type {
  BoardLine,
  BoardPlace,
  CameraCard,
  CameraCardQuestion,
  CardCell,
  CardColumn,
  CardLine,
  CardMark,
  CardMaterial,
  ClassBoard,
  ClassBoardQuestion,
} from './exposure/cards.ts';
export { changingExposure } from './exposure/changing-light.ts';
export type { AccumulatedLight, ChangingAnswer, ChangingQuestion, PassingCloud } from './exposure/changing-answer.ts';
export { signedStops } from './exposure/changing-sentence.ts';
export { formatRange, formatTime, roundedTimeS } from './exposure/duration.ts';
export { parseTimeS, plainNumber } from './exposure/time-text.ts';
export {
  fNumberOfMark,
  fNumberUncertaintyStops,
  holeStop,
  meterConversions,
  nearestStop,
  stopsBetween,
} from './exposure/f-number.ts';
export type { HoleStop, MeterConversion, NamedStop } from './exposure/f-number.ts';
export type {
  AlternateFigures,
  Evidence,
  Film,
  FilmKind,
  ReciprocityLaw,
  ReciprocityRow,
} from './exposure/film.ts';
export { filmFrom } from './exposure/film-record.ts';
export { FILMS, RECIPROCITY_LAWS, filmById, findFilm } from './exposure/films.ts';
export type { ReciprocityLawNote } from './exposure/films.ts';
export { FRAME_PARTS, partFalloffStops } from './exposure/frame-part.ts';
export type { FramePart } from './exposure/frame-part.ts';
export { learnFilm } from './exposure/learning.ts';
export type { LearnQuestion, Learnt, LearntLaw, Telling, Trial, Verdict } from './exposure/learning.ts';
export {
  BARE_HOLE_STOPS,
  METER_CONSTANT_INCIDENT,
  METER_CONSTANT_REFLECTED,
  evOfIlluminance,
  evOfLuminance,
  evOfReading,
  illuminanceLux,
  luminanceCdPerM2,
  meteredTimeS,
} from './exposure/light.ts';
export { UNREAD_SKY_STOPS, endOfLight, readingsCourse, skyCourse, steadyCourse, unreadSkyCourse } from './exposure/light-course.ts';
export type { CourseKind, LightCourse, LightReading } from './exposure/light-course.ts';
export { EVIDENCE_WORDS, alternateTimes, correctedTimeS, effectiveTimeS, reciprocity } from './exposure/reciprocity.ts';
export type { Correction } from './exposure/reciprocity.ts';
export { allowedShake, walker } from './exposure/motion.ts';
export type { ShakeAnswer, ShakeQuestion, WalkerAnswer, WalkerQuestion } from './exposure/motion.ts';
export { preFlash } from './exposure/pre-flash.ts';
export type { PreFlashPlan, PreFlashQuestion } from './exposure/pre-flash.ts';
export { patchValues } from './exposure/scan-patches.ts';
export type { PatchArea } from './exposure/scan-patches.ts';
export { SCENES, SCENE_SOURCE, findScene, sceneEv } from './exposure/scenes.ts';
export type { Lighting, Scene } from './exposure/scenes.ts';
export {
  TARGET_DENSITY_FILM,
  TARGET_DENSITY_PAPER,
  densitiesFromWedge,
  planStepTest,
  readStepSheet,
  stripsFromWedge,
} from './exposure/step-test.ts';
export type {
  SheetReading,
  SheetReadingQuestion,
  SlideWay,
  StepMove,
  StepStrip,
  StepTestPlan,
  StepTestQuestion,
  StripReading,
  WedgeReading,
} from './exposure/step-test.ts';
export { clockDigits, differenceStops, timerState } from './exposure/timer.ts';
export type { TimerQuestion, TimerState } from './exposure/timer.ts';

// log
export { emptyWorkshop, thawed } from './log/workshop.ts';
export type {
  CameraRecord,
  Draft,
  ExposureRecord,
  FilmRecord,
  FilmSheetRecord,
  FrontRecord,
  HolderRecord,
  LayerRecord,
  MountingRecord,
  PassFigures,
  PassRecord,
  PlateRecord,
  PrinterRecord,
  QuestionRecord,
  SheetChoicesRecord,
  ScanRecord,
  ScannerRecord,
  TrashRecord,
  VerdictRecord,
  Workshop,
  WorkshopDraft,
} from './log/workshop.ts';
export { answeredExposure } from './log/answered-exposure.ts';
export type { AnsweredExposure } from './log/answered-exposure.ts';
export { ownFilmRecord, revisedFilmRecord } from './log/own-film.ts';
export type { OwnFilmHead } from './log/own-film.ts';
export { combinedPasses, decidingFigures, sameStatePasses } from './log/same-state.ts';
export { calibrationFromRule, scannerScale } from './log/scanner.ts';
export type { RuleScan } from './log/scanner.ts';
export { STRAY_SHARE, passFromReading, plateFrame } from './log/pass.ts';
export type { PassRequest, PlateFrame, ScanPose } from './log/pass.ts';
export { lightOfCamera } from './log/camera-light.ts';
export { frontOf } from './log/front-of.ts';
export type { FrontOfCamera } from './log/front-of.ts';
export { geometryOf, plateEdgeOf } from './log/camera-geometry.ts';
export { holeOfPass } from './log/pass-hole.ts';
export type { PassHole } from './log/pass-hole.ts';
export {
  cameraOf,
  filmOf,
  lastMounting,
  latestMeasuredPass,
  latestPass,
  mountedPlate,
  dimpleOf,
  wallThicknessMm,
  numbersOf,
  ownFilms,
} from './log/lookup.ts';
export type { CameraFilm, CameraNumbers } from './log/lookup.ts';
export { compareCameras, compareExposures, comparePlates, filmName, lightWords } from './log/comparison.ts';
export type { ComparedRow, Comparison } from './log/comparison.ts';
export { exposuresCsv, exposuresFromCsv } from './log/exposure-csv.ts';
export type { CsvImport, CsvImportOptions } from './log/exposure-csv.ts';
export { exposureWith, giveAsPlanned, giveExposure, judgeExposure } from './log/exposure-entry.ts';
export type { ExposureHead, Judgement } from './log/exposure-entry.ts';
export { exposureLines, filterExposures, stageOf } from './log/exposure-lines.ts';
export type { ExposureFilter, ExposureLine, ExposureStage } from './log/exposure-lines.ts';
export { sheetFacts, sheetsInHolder } from './log/film-sheets.ts';
export type { SheetFacts, SheetState } from './log/film-sheets.ts';
export { plateGrowth } from './log/growth.ts';
export type { GrowthStep, PlateGrowth } from './log/growth.ts';
export { holderDepth } from './log/holder-depth.ts';
export type { HolderDepth } from './log/holder-depth.ts';
export { mergeWorkshop } from './log/merge.ts';
export type { MergeOutcome } from './log/merge.ts';
export { workshopFindings } from './log/workshop-checks.ts';
export type { WorkshopFinding } from './log/workshop-checks.ts';
export { densityReadingsText, parseDensityReadings } from './log/density-readings.ts';
export { loggedTrials } from './log/logged-trials.ts';
export { moveToTrash, restoreFromTrash, trashedName } from './log/trash.ts';
export type { ListName } from './log/trash.ts';
