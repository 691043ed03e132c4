"""The addresses of records that come from and go to another owner."""

from django.urls import path

from logbook.views import giving, packages

urlpatterns = [
    path("engines/<int:pk>/package/", packages.package_make, name="package_make"),
    path("parts/<int:pk>/package/", packages.part_package_make, name="part_package_make"),
    path("packing/<uuid:pk>/", packages.package_job, name="package_job"),
    path("packing/<uuid:pk>/record.zip", packages.package_job_file, name="package_job_file"),
    path("packing/<uuid:pk>/hand-over/", giving.package_give, name="package_give"),
    path("hand-overs/<int:number>/void/", giving.package_give_void, name="package_give_void"),
    path("received/", packages.package_list, name="package_list"),
    path("received/add/", packages.package_add, name="package_add"),
    path("received/take/", packages.package_take, name="package_take"),
    path("received/<int:pk>/", packages.package_detail, name="package_detail"),
    path("received/<int:pk>/package.zip", packages.package_file, name="package_file"),
    path("received/<int:pk>/entries/<int:number>/", packages.received_entry, name="received_entry"),
]
