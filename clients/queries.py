"""What pages read about clients and sites."""

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from clients.models import Client, Site


def search_clients(words: str = "") -> QuerySet[Client]:
    """Clients whose name, contact, email, phone, or a site's street or city, contains `words`; with `site_count`."""
    # A grouped query forgets the order of the model.
    clients = Client.objects.annotate(site_count=Count("sites")).order_by("name", "pk")
    if words:
        sites = Site.objects.filter(Q(street__icontains=words) | Q(city__icontains=words), client=OuterRef("pk"))
        clients = clients.filter(
            Q(name__icontains=words)
            | Q(contact__icontains=words)
            | Q(email__icontains=words)
            | Q(phone__icontains=words)
            | Exists(sites)
        )
    return clients


def sites_of(client: Client) -> QuerySet[Site]:
    return Site.objects.filter(client=client)
