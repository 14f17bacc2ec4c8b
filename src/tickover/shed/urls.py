"""Every page of the workshop. Records have short addresses that never change: a letter and a number."""

from django.urls import include, path

urlpatterns = [
    path("", include("tickover.shed.bench.urls")),
    path("", include("tickover.shed.strip_down.urls")),
    path("", include("tickover.shed.capture.urls")),
    path("", include("tickover.shed.refitting.urls")),
    path("", include("tickover.shed.stores.urls")),
    path("", include("tickover.shed.labels.urls")),
    path("", include("tickover.shed.job_cards.urls")),
    path("", include("tickover.shed.readings.urls")),
    path("", include("tickover.shed.inspection.urls")),
    path("", include("tickover.shed.kits.urls")),
    path("", include("tickover.shed.buying.urls")),
    path("", include("tickover.shed.loom.urls")),
    path("", include("tickover.shed.fault_finding.urls")),
    path("", include("tickover.shed.sheets.urls")),
]
