from django.urls import path

from plans.views import library, library_editing, media, works_here

urlpatterns_library = [
    path("library/", library.library, name="library"),
    path("library/list.csv", library.save_library, name="library-csv"),
    path("library/add/", library_editing.add, name="library-add"),
    path("library/media/<uuid:uuid>/", media.media, name="media"),
    path("library/media/<uuid:uuid>/withdraw/", media.withdraw, name="media-withdraw"),
    path("library/media/<uuid:uuid>/restore/", media.restore, name="media-restore"),
    path("library/<slug:key>/", library.intervention, name="intervention"),
    path("library/<slug:key>/versions/<int:number>/", library.intervention, name="intervention-version"),
    path(
        "library/<slug:key>/versions/<int:number>/again/", library_editing.version_again, name="library-version-again"
    ),
    path("library/<slug:key>/change/", library_editing.change, name="library-change"),
    path("library/<slug:key>/withdraw/", library_editing.withdraw, name="library-withdraw"),
    path("library/<slug:key>/restore/", library_editing.restore, name="library-restore"),
    path("library/<slug:key>/media/add/", media.add, name="media-add"),
    path("works-here/", works_here.works_here, name="works-here"),
    path("works-here/table.csv", works_here.save_works_here, name="works-here-csv"),
    path("works-here/again/", works_here.again, name="works-here-again"),
]
